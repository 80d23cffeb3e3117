import { parse } from 'csv-parse/sync';
import csvSpectrum from 'csv-spectrum';
import fc from 'fast-check';
import { guardFormula, unguardFormula } from '../../src/platform/csv/formula-guard';
import { writeCsv } from '../../src/platform/csv/write-csv';

// CSV: RFC 4180. Reader: csv-parse 7, as strict as it comes. Samples: csv-spectrum 2.0.0 (npm, BSD-2-Clause).
const read = (csv: string): string[][] => parse(csv, { record_delimiter: '\r\n' });

describe('what is written is read again by another reader', () => {
  it('for every sample of csv-spectrum', async () => {
    const samples = await new Promise<{ name: string; json: Buffer }[]>((resolve, reject) => {
      csvSpectrum((error, found) => (error ? reject(error) : resolve(found)));
    });
    expect(samples.length).toBeGreaterThanOrEqual(11);
    for (const { name, json } of samples) {
      // one of them is a record alone
      const rows = [JSON.parse(json.toString()) as Record<string, string>[]].flat();
      const names = Object.keys(rows[0] ?? {});
      const records = [names, ...rows.map((row) => names.map((each) => row[each] ?? ''))];
      const cells = read(writeCsv(records)).map((row) => row.map(unguardFormula));
      expect([name, cells]).toEqual([name, records]);
    }
  });

  it('for any text, with every kind of line break, quote and separator', () => {
    const text = fc.string({
      unit: fc.constantFrom('a', 'é', '😀', '"', ',', '\r', '\n', '\t', "'", '=', '-', '1', ' '),
    });
    fc.assert(
      fc.property(fc.array(fc.tuple(text, text), { minLength: 1 }), (rows) => {
        const written = writeCsv(rows);
        expect(written.endsWith('\r\n')).toBe(true);
        // a record whose cells are all empty is still one of two cells
        expect(read(written).map((row) => row.map(unguardFormula))).toEqual(rows);
      }),
    );
  });
});

// OWASP, "CSV Injection": = + - @, tab and carriage return; the full-width signs from the same page's later edition
describe('cells that a spreadsheet would run', () => {
  it.each([
    ['=1+2', "'=1+2"],
    ['+441234', "'+441234"],
    ['-1+2', "'-1+2"],
    ['-cmd|calc', "'-cmd|calc"],
    ['@SUM(A1)', "'@SUM(A1)"],
    ['\t=1', "'\t=1"],
    ['\r=1', "'\r=1"],
    ['\n=1', "'\n=1"],
    ['＝1', "'＝1"],
    // marked already, so that taking the mark off gives back what was there
    ["'=1", "''=1"],
    ["''=1", "'''=1"],
  ])('%j becomes %j and comes back', (text, cell) => {
    expect(guardFormula(text)).toBe(cell);
    expect(unguardFormula(cell)).toBe(text);
  });

  it.each(['', '1', '-5', '-5.25', '-1e-7', 'a=b', "'twas", "''", 'a-1', ' =1'])('%j stays', (text) => {
    expect(guardFormula(text)).toBe(text);
    expect(unguardFormula(text)).toBe(text);
  });

  it('numbers stay numbers, truth values are words, what is unknown is empty', () => {
    expect(writeCsv([[-5, -1e-7, 0, true, false, null, undefined, '-5']])).toBe(
      '-5,-1e-7,0,true,false,,,-5\r\n',
    );
  });

  it('no cell begins with a sign that could start a formula, and every text comes back', () => {
    const risky = fc.string({ unit: fc.constantFrom("'", '=', '+', '-', '@', '\t', '\r', '\n', '1', 'a') });
    fc.assert(
      fc.property(risky, (text) => {
        const cell = guardFormula(text);
        expect(unguardFormula(cell)).toBe(text);
        expect(/^[=+\-@\t\r\n]/.test(cell)).toBe(/^-\d+$/.test(text));
      }),
    );
  });
});
