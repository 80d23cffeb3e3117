import canonicalize from 'canonicalize';
import fc from 'fast-check';
import { parseExactJson } from '../../src/platform/audit/exact-json';

// RFC 8785 (JSON Canonicalization Scheme). The files are the test data of the RFC's own repository,
// cyberphone/json-canonicalization, testdata/input and testdata/output, read at commits 72a2163b (arrays,
// structures), b01b0235 (french), ff225671 (unicode), 1e2733fc (values) and 77917fbd (weird).

const canonicalText = (text: string): string | undefined => canonicalize(parseExactJson(text));

describe('RFC 8785: the test data of its repository', () => {
  it.each([
    [
      'arrays',
      '[\n  56,\n  {\n    "d": true,\n    "10": null,\n    "1": [ ]\n  }\n]',
      '[56,{"1":[],"10":null,"d":true}]',
    ],
    [
      'french',
      '{\n  "peach": "This sorting order",\n  "péché": "is wrong according to French",\n  "pêche": "but canonicalization MUST",\n  "sin":   "ingnore locale"\n}\n',
      '{"peach":"This sorting order","péché":"is wrong according to French","pêche":"but canonicalization MUST","sin":"ingnore locale"}',
    ],
    [
      'structures',
      '{\n  "1": {"f": {"f": "hi","F": 5} ,"\\n": 56.0},\n  "10": { },\n  "": "empty",\n  "a": { },\n  "111": [ { } ],\n  "A": { }\n}',
      '{"":"empty","1":{"\\n":56,"f":{"F":5,"f":"hi"}},"10":{},"111":[{}],"A":{},"a":{}}',
    ],
    [
      'unicode',
      '{\n  "Unnormalized Unicode":"\\u1e0d\\u0307"\n}\n',
      '{"Unnormalized Unicode":"\u1e0d\u0307"}',
    ],
    [
      'values',
      '{\n  "numbers": [1E30, 4.50, 333333333.33333329, 2e-3, 0.000000000000000000000000001],\n  "escaping": "\\u20ac$\\u000F\\u000aA\'\\u0042\\u0022\\u005c\\\\\\"\\/",\n  "literals": [null, true, false]\n}',
      '{"escaping":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/","literals":[null,true,false],"numbers":[1e+30,4.5,333333333.3333333,0.002,1e-27]}',
    ],
    [
      'weird',
      '{\n  "\\u20ac": "Euro Sign",\n  "1": "One",\n  "\\u0080": "Control\\u007f",\n  "\\ud83d\\ude02": "Smiley",\n  "\\u00f6": "Latin Small Letter O With Diaeresis",\n  "\\ufb33": "Hebrew Letter Dalet With Dagesh",\n  "</script>": "Browser Challenge"\n}\n',
      '{"1":"One","</script>":"Browser Challenge","\u0080":"Control\u007f","ö":"Latin Small Letter O With Diaeresis","€":"Euro Sign","😂":"Smiley","\ufb33":"Hebrew Letter Dalet With Dagesh"}',
    ],
  ])('%s', (name, input, output) => {
    // one number of "values" has more digits than a double holds: it is kept apart on purpose, see below
    const exact = name !== 'values';
    expect(exact ? canonicalText(input) : canonicalize(JSON.parse(input))).toBe(output);
  });

  it('bytes of the sample of its first page', () => {
    // README.md of the repository at commit aa7fe85c: "here shown in hexadecimal notation"
    const input =
      '{"numbers": [1E30,4.50,6,2e-3,0.000000000000000000000000001],' +
      '"escaping": "\\u20ac$\\u000F\\u000aA\'\\u0042\\u0022\\u005c\\\\\\"\\/","other":  [null, true, false]}';
    expect(Buffer.from(canonicalText(input) ?? '', 'utf8').toString('hex')).toBe(
      '7b226573636170696e67223a22e282ac245c75303030665c6e4127425c225c5c5c5c5c222f222c226e756d62657273223a5b31' +
        '652b33302c342e352c362c302e3030322c31652d32375d2c226f74686572223a5b6e756c6c2c747275652c66616c73655d7d',
    );
  });

  it('section 3.2.3: members in order of UTF-16 code units', () => {
    const input =
      '{"\\u20ac":"Euro Sign","\\r":"Carriage Return","\\ufb33":"Hebrew Letter Dalet With Dagesh","1":"One",' +
      '"\\ud83d\\ude00":"Emoji: Grinning Face","\\u0080":"Control","\\u00f6":"Latin Small Letter O With Diaeresis"}';
    expect(Object.values(JSON.parse(canonicalText(input) ?? '') as Record<string, string>).length).toBe(7);
    expect([...(canonicalText(input) ?? '').matchAll(/:"([^"]*)"/g)].map(([, value]) => value)).toEqual([
      'Carriage Return',
      'One',
      'Control',
      'Latin Small Letter O With Diaeresis',
      'Euro Sign',
      'Emoji: Grinning Face',
      'Hebrew Letter Dalet With Dagesh',
    ]);
  });
});

/** A double by its bits. */
function double(bits: string): number {
  const view = new DataView(new ArrayBuffer(8));
  view.setBigUint64(0, BigInt(`0x${bits}`));
  return view.getFloat64(0);
}

describe('RFC 8785, appendix B: numbers', () => {
  it.each([
    ['0000000000000000', '0'],
    ['8000000000000000', '0'],
    ['0000000000000001', '5e-324'],
    ['8000000000000001', '-5e-324'],
    ['7fefffffffffffff', '1.7976931348623157e+308'],
    ['ffefffffffffffff', '-1.7976931348623157e+308'],
    ['4340000000000000', '9007199254740992'],
    ['c340000000000000', '-9007199254740992'],
    ['4430000000000000', '295147905179352830000'],
    ['44b52d02c7e14af5', '9.999999999999997e+22'],
    ['44b52d02c7e14af6', '1e+23'],
    ['44b52d02c7e14af7', '1.0000000000000001e+23'],
    ['444b1ae4d6e2ef4e', '999999999999999700000'],
    ['444b1ae4d6e2ef4f', '999999999999999900000'],
    ['444b1ae4d6e2ef50', '1e+21'],
    ['3eb0c6f7a0b5ed8c', '9.999999999999997e-7'],
    ['3eb0c6f7a0b5ed8d', '0.000001'],
    ['41b3de4355555553', '333333333.3333332'],
    ['41b3de4355555554', '333333333.33333325'],
    ['41b3de4355555555', '333333333.3333333'],
    ['41b3de4355555556', '333333333.3333334'],
    ['41b3de4355555557', '333333333.33333343'],
    ['becbf647612f3696', '-0.0000033333333333333333'],
    ['43143ff3c1cb0959', '1424953923781206.2'],
    // sample lines of the file of a hundred million numbers, testdata/README.md at commit 051b2a45
    ['4340000000000001', '9007199254740994'],
    ['4340000000000002', '9007199254740996'],
  ])('%s is %s', (bits, text) => {
    expect(canonicalize(double(bits))).toBe(text);
    // and whoever reads it has the same number, without loss
    expect(canonicalText(text)).toBe(text);
  });

  it.each(['7fffffffffffffff', '7ff0000000000000'])('%s is refused', (bits) => {
    expect(() => canonicalize(double(bits))).toThrow();
  });

  it('every double that is written as JSON is read back without loss', () => {
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (value) => {
        expect(parseExactJson(JSON.stringify(value))).toBe(value === 0 ? 0 : value);
      }),
      { numRuns: 2_000 },
    );
  });
});

// RFC 8785, appendix D: numbers beyond a double are the application's to keep. A database keeps them in full.
describe('numbers that a double cannot hold', () => {
  it('are kept apart from every double and from each other', () => {
    const texts = ['9007199254740992', '9007199254740993', '9007199254740993.5', '1e400', '-1e400'];
    const canonical = texts.map(canonicalText);
    expect(new Set(canonical).size).toBe(texts.length);
    expect(canonical[1]).toBe('{"$number":"9007199254740993e0"}');
    expect(canonical[3]).toBe('{"$number":"1e400"}');
  });

  it('as they are written makes no difference', () => {
    expect(canonicalText('[1.10,1.1,11e-1,0.11E1]')).toBe('[1.1,1.1,1.1,1.1]');
    expect(canonicalText('[9007199254740993.0,90071992547409930e-1]')).toBe(
      '[{"$number":"9007199254740993e0"},{"$number":"9007199254740993e0"}]',
    );
    expect(canonicalText('[0,-0,0.00,-0e5]')).toBe('[0,0,0,0]');
  });
});
