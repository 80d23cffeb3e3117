import { jsonLines, LONGEST_LINE_BYTES, type JsonLine } from '../../src/platform/ndjson/json-lines';

async function read(text: string | Buffer, chunkBytes = 7): Promise<JsonLine[]> {
  const bytes = Buffer.from(text);
  async function* chunks(): AsyncGenerator<Buffer> {
    for (let at = 0; at < bytes.length; at += chunkBytes)
      yield await Promise.resolve(bytes.subarray(at, at + chunkBytes));
  }
  const lines: JsonLine[] = [];
  for await (const line of jsonLines(chunks())) lines.push(line);
  return lines;
}

const values = (lines: JsonLine[]): unknown[] => lines.map(({ value }) => value);

// RFC 8259, section 13: its examples of an object, each on one line; the second is an array, and so no record
it('reads the examples of RFC 8259', async () => {
  const image =
    '{"Image":{"Width":800,"Height":600,"Title":"View from 15th Floor","Thumbnail":{"Url":"http://www.example.com/image/481989943","Height":125,"Width":100},"Animated":false,"IDs":[116,943,234,38793]}}';
  const [first, second] = await read(`${image}\n[${image}]\n`);
  expect(first).toMatchObject({ lineNumber: 1, error: null, raw: image });
  expect(first?.value).toEqual(JSON.parse(image));
  expect(second).toMatchObject({ lineNumber: 2, value: null, error: 'the line is JSON, but no object' });
});

it('takes a byte order mark off, takes both line ends, skips blank lines, needs no end of the last line', async () => {
  const text = '\ufeff{"a":1}\r\n\r\n   \n{"a":2}\n{"a":3}';
  const lines = await read(text);
  expect(lines.map(({ lineNumber, value }) => [lineNumber, value])).toEqual([
    [1, { a: 1 }],
    [4, { a: 2 }],
    [5, { a: 3 }],
  ]);
  expect(lines.at(-1)?.bytesRead).toBe(Buffer.byteLength(text));
});

it('is not led astray by brackets, quotes and line breaks inside texts', async () => {
  const record = { 'a"{': '}]\\"\n\u2028{"a":1', b: { 'a"{': '' }, c: [{ x: 1 }, { x: 2 }] };
  expect(values(await read(`${JSON.stringify(record)}\n`))).toEqual([record]);
});

it.each<[string, string | Buffer, RegExp]>([
  ['no JSON', '{"a":1', /not JSON/],
  ['a comma too many', '{"a":1,}', /not JSON/],
  ['two objects', '{"a":1}{"a":2}', /not JSON/],
  ['NaN, which JSON does not have (RFC 8259, section 6)', '{"a":NaN}', /not JSON/],
  ['a number', '17', /no object/],
  ['null', 'null', /no object/],
  // RFC 7493, section 2.3: objects must not have members with duplicate names
  ['a name twice', '{"a":1,"b":2,"a":1}', /"a" stands twice/],
  ['a name twice further in', '{"b":[{"a":1,"a":2}]}', /"a" stands twice/],
  ['a name twice in two spellings', '{"a":1,"\\u0061":2}', /"a" stands twice/],
  ['17 levels', `${'{"a":'.repeat(17)}1${'}'.repeat(17)}`, /deeper than 16/],
  ['half a million levels', `{"a":${'['.repeat(500_000)}${']'.repeat(500_000)}}`, /deeper than 16/],
  ['half a million levels that are not closed', `{"a":${'['.repeat(500_000)}`, /not JSON/],
  ['a line that is too long', `{"a":"${'x'.repeat(LONGEST_LINE_BYTES)}"}`, /longer than/],
  ['Latin-1', Buffer.from('{"a":"\u00c9"}', 'latin1'), /not UTF-8/],
  // CESU-8: a surrogate half as three bytes, which UTF-8 forbids (RFC 3629, section 3)
  ['half a surrogate pair in bytes', Buffer.from('7b2261223a22eda080227d', 'hex'), /not UTF-8/],
  ['a byte that is 0', Buffer.from('{"a":"\0"}'), /not UTF-8/],
])('%s costs its own line and no other', async (_, bad, error) => {
  const file = Buffer.concat([Buffer.from('{"n":1}\n'), Buffer.from(bad), Buffer.from('\n{"n":3}\n')]);
  const lines = await read(file, 65_536);
  expect(lines.map(({ lineNumber }) => lineNumber)).toEqual([1, 2, 3]);
  expect(values(lines)).toEqual([{ n: 1 }, null, { n: 3 }]);
  expect(lines[1]?.error).toMatch(error);
});

it('keeps 16 levels, and names that only look alike', async () => {
  const deep = `${'{"a":'.repeat(16)}1${'}'.repeat(16)}`;
  expect(values(await read(`${deep}\n{"a":1,"A":2,"a ":3}`))).toEqual([
    JSON.parse(deep),
    { a: 1, A: 2, 'a ': 3 },
  ]);
});

it('a name that objects have by themselves is a name like any other', async () => {
  const [line] = await read('{"__proto__":{"a":1},"constructor":2}');
  expect(Object.keys(line?.value ?? {})).toEqual(['__proto__', 'constructor']);
});
