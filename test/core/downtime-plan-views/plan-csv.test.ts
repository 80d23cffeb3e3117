import { parse } from 'csv-parse/sync';
import { planCsv } from '../../../src/modules/downtime-plans/plan-csv';
import { itemOf, visitOf } from './listed-visits';

const HEADER =
  'visitId,registrationMark,fleetNumber,depot,workshop,zone,on,untilOn,visitMinutes,visitCost,locked,bookingId,currency,' +
  'task,title,position,dueOn,plannedOn,itemMinutes';
const read = (csv: string): Record<string, string>[] => parse(csv, { columns: true });

test('a header, and a line for each item with what belongs to its visit', () => {
  const bookingId = '0198a000-0000-7000-8000-0000000000b1';
  const csv = planCsv(
    [
      visitOf(1, {
        isLocked: true,
        bookingId,
        untilOn: '2026-09-01',
        items: [
          itemOf(),
          itemOf({ task: 'precharge-test', title: 'Precharge test', position: 'front-left', minutes: 25 }),
        ],
      }),
      visitOf(2, { fleetNumber: null }),
    ],
    'EUR',
  );
  const visit = '0198a000-0000-7000-8000-000000000001,TVP 117,U17,Upper Weir,Harrow Ford,Europe/London';
  expect(csv.split('\r\n')).toEqual([
    HEADER,
    `${visit},2026-08-31,2026-09-01,330,123.45,yes,${bookingId},EUR,fluid-change,Fluid change,,2026-09-02,2026-08-31,90`,
    `${visit},2026-08-31,2026-09-01,330,123.45,yes,${bookingId},EUR,precharge-test,Precharge test,front-left,2026-09-02,2026-08-31,25`,
    '0198a000-0000-7000-8000-000000000002,TVP 117,,Upper Weir,Harrow Ford,Europe/London,2026-08-31,2026-08-31,330,123.45,no,,EUR,fluid-change,Fluid change,,2026-09-02,2026-08-31,90',
    '',
  ]);
});

// RFC 4180, section 2: rules 5 to 7, fields with commas, quotes and line breaks
test.each([
  'comma, and "quotes"',
  '"',
  'two\r\nlines',
  'two\nlines',
  'two\rlines',
  ' spaces are data ',
  'Straße am Öhr – 油圧 😀',
  "'quoted'",
  '1-2=3',
])('%j comes back as it was', (words) => {
  const records = read(
    planCsv(
      [
        visitOf(1, {
          vehicle: words,
          fleetNumber: words,
          depot: words,
          workshop: words,
          items: [itemOf({ title: words, task: words, position: words })],
        }),
        visitOf(2),
      ],
      'GBP',
    ),
  );
  expect(records).toHaveLength(2);
  for (const column of ['registrationMark', 'fleetNumber', 'depot', 'workshop', 'title', 'task', 'position'])
    expect(records[0]![column]).toBe(words);
  expect(records[1]!.title).toBe('Fluid change');
});

// what a spreadsheet takes for a formula is not in the RFC: OWASP, "CSV Injection"; a plain negative number is none
test.each(['=1+1', '+1', '-1+1', '@sum', '\t=1', '\r=1', '=HYPERLINK("x","y")'])(
  '%j is no formula to a spreadsheet',
  (words) => {
    const [record] = read(
      planCsv([visitOf(1, { vehicle: words, items: [itemOf({ title: words })] })], 'EUR'),
    );
    expect(record!.registrationMark).toBe(`'${words}`);
    expect(record!.title).toBe(`'${words}`);
  },
);

test.each([
  [0, '0.00'],
  [5, '0.05'],
  [100, '1.00'],
  [123_450, '1234.50'],
  [999_999_999_999, '9999999999.99'],
])('%d hundredths are %s', (costMinor, cost) => {
  expect(read(planCsv([visitOf(1, { costMinor })], 'EUR'))[0]).toMatchObject({
    visitCost: cost,
    currency: 'EUR',
  });
});

// amounts are hundredths of every currency, as the planning settings say: also where it has no such coin (JPY), or has
// thousandths (KWD; minor units by ISO 4217)
test.each(['EUR', 'JPY', 'KWD'])('12345 are 123.45 %s', (currency) => {
  expect(read(planCsv([visitOf(1, { costMinor: 12_345 })], currency))[0]).toMatchObject({
    visitCost: '123.45',
    currency,
  });
});

test('a visit without items has a line, a plan without visits the header', () => {
  const [record] = read(planCsv([visitOf(1, { items: [] })], 'EUR'));
  expect(record).toMatchObject({ registrationMark: 'TVP 117', task: '', itemMinutes: '' });
  expect(planCsv([], 'EUR')).toBe(`${HEADER}\r\n`);
});
