import {
  formatOf,
  needsNdjson,
  progressOf,
  templateOf,
  type ImportKind,
} from '../../../src/desk/pages/administration/imports/import-files';

const kind: ImportKind = {
  kind: 'workshops',
  roles: ['administrator'],
  columns: [
    { name: 'externalKey', type: 'text', required: true },
    { name: 'minutesBefore', type: 'number', required: false },
    { name: 'weeklyHours', type: 'nested', required: false },
  ],
};

it('makes a template of the columns that CSV can have', () => {
  expect(templateOf(kind)).toEqual({
    name: 'workshops.csv',
    text: 'externalKey,minutesBefore\r\n',
    mediaType: 'text/csv',
  });
});

it('says where a kind cannot do without NDJSON', () => {
  expect(needsNdjson(kind)).toBe(false);
  expect(
    needsNdjson({ ...kind, columns: [{ name: 'neededByWeekday', type: 'nested', required: true }] }),
  ).toBe(true);
});

it.each([
  ['Vehicles.CSV', 'csv'],
  ['rejects.ndjson', 'ndjson'],
  ['lines.jsonl', 'ndjson'],
  ['vehicles.xlsx', null],
  ['csv', 'csv'],
])('takes %s for %s', (name, format) => expect(formatOf(name)).toBe(format));

it.each([
  ['running', 100, 25, 0.25],
  ['queued', 0, 0, 0],
  ['finished', 100, 99, 1],
] as const)('shows how far a file is: %s', (state, byteCount, bytesRead, share) =>
  expect(progressOf({ state, byteCount, bytesRead })).toBe(share),
);
