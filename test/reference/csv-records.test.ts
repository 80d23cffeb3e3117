import csvSpectrum from 'csv-spectrum';
import { csvRecords, type CsvRecord } from '../../src/platform/csv/csv-records';

async function read(text: string, chunkBytes = 7): Promise<CsvRecord[]> {
  const bytes = Buffer.from(text);
  async function* chunks(): AsyncGenerator<Buffer> {
    for (let at = 0; at < bytes.length; at += chunkBytes)
      yield await Promise.resolve(bytes.subarray(at, at + chunkBytes));
  }
  const records: CsvRecord[] = [];
  for await (const record of csvRecords(chunks())) records.push(record);
  return records;
}
const fields = (records: CsvRecord[]): string[][] => records.map((record) => record.fields);

// RFC 4180, section 2: the examples of its rules 1 to 7
describe('RFC 4180', () => {
  it.each([
    [
      '1 and 2',
      'aaa,bbb,ccc\r\nzzz,yyy,xxx',
      [
        ['aaa', 'bbb', 'ccc'],
        ['zzz', 'yyy', 'xxx'],
      ],
    ],
    [
      '5',
      '"aaa","bbb","ccc"\r\nzzz,yyy,xxx',
      [
        ['aaa', 'bbb', 'ccc'],
        ['zzz', 'yyy', 'xxx'],
      ],
    ],
    [
      '6',
      '"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx',
      [
        ['aaa', 'b\nbb', 'ccc'],
        ['zzz', 'yyy', 'xxx'],
      ],
    ],
    ['7', '"aaa","b""bb","ccc"', [['aaa', 'b"bb', 'ccc']]],
    ['4: spaces are data', ' a , b', [[' a ', ' b']]],
  ])('rule %s', async (_, text, expected) => {
    expect(fields(await read(text))).toEqual(expected);
  });
});

// csv-spectrum 2.0.0 (npm, BSD-2-Clause). location_coordinates.csv has a bare quote inside an unquoted field,
// against RFC 4180, and does not match its own JSON: here it is a negative case.
describe('csv-spectrum', () => {
  it('reads every file as its JSON says', async () => {
    const samples = await new Promise<{ name: string; csv: Buffer; json: Buffer }[]>((resolve, reject) => {
      csvSpectrum((error, found) => (error ? reject(error) : resolve(found)));
    });
    expect(samples.length).toBeGreaterThanOrEqual(11);
    for (const sample of samples) {
      const [header, ...rows] = await read(sample.csv.toString());
      if (sample.name === 'location_coordinates') {
        expect(rows.some(({ error }) => error !== null)).toBe(true);
        continue;
      }
      const objects = rows.map((row) =>
        Object.fromEntries(header!.fields.map((name, index) => [name, row.fields[index]])),
      );
      const expected = JSON.parse(sample.json.toString().replaceAll('\\r\\n', '\\n')) as unknown;
      expect([sample.name, objects]).toEqual([sample.name, expected]);
    }
  });
});

describe('a bad line costs itself and nothing else', () => {
  it.each([
    ['a bare quote', 'a,b\n1,2"x\n3,4\n', 2],
    ['text after a closing quote', 'a,b\n1,"x"y\n3,4\n', 2],
    ['a quote that is never closed', 'a,b\n1,"x\n3,4\n', 2],
  ])('%s', async (_, text, badLine) => {
    const records = await read(text);
    expect(records.filter(({ error }) => error !== null).map(({ lineNumber }) => lineNumber)).toEqual([
      badLine,
    ]);
    expect(fields(records.filter(({ error }) => error === null))).toEqual([
      ['a', 'b'],
      ['3', '4'],
    ]);
  });

  it('takes a byte order mark off, skips empty lines and numbers lines as an editor does', async () => {
    const records = await read('\ufeffa,b\r\n\r\n"1\n2",x\n3,4');
    expect(records.map(({ lineNumber, fields: found }) => [lineNumber, found])).toEqual([
      [1, ['a', 'b']],
      [3, ['1\n2', 'x']],
      [5, ['3', '4']],
    ]);
    expect(records.at(-1)?.bytesRead).toBe(Buffer.byteLength('\ufeffa,b\r\n\r\n"1\n2",x\n3,4'));
  });

  it('passes over a line of 50 MB without holding it', async () => {
    const piece = Buffer.alloc(1_000_000, 'x');
    async function* chunks(): AsyncGenerator<Buffer> {
      yield await Promise.resolve(Buffer.from('a,b\n1,'));
      for (let count = 0; count < 50; count++) yield piece;
      yield Buffer.from('\n3,4\n');
    }
    const records: CsvRecord[] = [];
    for await (const record of csvRecords(chunks())) records.push(record);
    expect(records.map(({ lineNumber, error }) => [lineNumber, error !== null])).toEqual([
      [1, false],
      [2, true],
      [3, false],
    ]);
  });

  // a Latin-1 letter; the character U+0000, of which a file in UTF-16 is full
  it.each([0xe9, 0x00])('says so of a line that is not UTF-8 text: byte %d', async (byte) => {
    const records: CsvRecord[] = [];
    async function* chunks(): AsyncGenerator<Buffer> {
      yield await Promise.resolve(Buffer.from([0x61, 0x0a, byte, 0x0a, 0x62]));
    }
    for await (const record of csvRecords(chunks())) records.push(record);
    expect(records.map(({ error }) => error?.includes('UTF-8') ?? false)).toEqual([false, true, false]);
  });
});
