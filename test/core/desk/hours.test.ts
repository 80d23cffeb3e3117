import { TypedFault } from '../../../src/desk/pages/administration/parts/faults';
import {
  shownExceptions,
  shownHours,
  shownWeek,
  typedExceptions,
  typedHours,
  typedWeek,
} from '../../../src/desk/pages/administration/workshops/hours';

it.each([
  ['', []],
  ['8-12', [{ from: '08:00', until: '12:00' }]],
  [
    '08:00–12:00, 13.00 – 17.30',
    [
      { from: '08:00', until: '12:00' },
      { from: '13:00', until: '17:30' },
    ],
  ],
  ['22:00 to 24:00', [{ from: '22:00', until: '24:00' }]],
])('reads “%s” as hours', (text, windows) => expect(typedHours(text)).toEqual(windows));

it.each(['closed', '8', '8-', '25-26', '8:70-9', '8-12-13'])('does not take “%s” for hours', (text) =>
  expect(typedHours(text)).toBeNull(),
);

it('shows hours in a way that it reads again', () => {
  const windows = [
    { from: '07:30', until: '12:30' },
    { from: '13:00', until: '18:00' },
  ];
  expect(typedHours(shownHours(windows))).toEqual(windows);
});

it('leaves shut days out of the week, and names the day that cannot be read', () => {
  const week = shownWeek([{ weekday: 2, windows: [{ from: '08:00', until: '12:00' }] }]);
  expect(week).toEqual(['', '08:00–12:00', '', '', '', '', '']);
  expect(typedWeek(week, 'weeklyHours')).toEqual([
    { weekday: 2, windows: [{ from: '08:00', until: '12:00' }] },
  ]);
  expect(() => typedWeek(['', '', 'all day', '', '', '', ''], 'weeklyHours')).toThrow(TypedFault);
  expect(() => typedWeek(['', '', 'all day', '', '', '', ''], 'weeklyHours')).toThrow(/Wednesday.*all day/);
});

it('counts exceptions to their last day, which the API counts one further', () => {
  const stored = [
    { fromOn: '2026-12-24', untilOn: '2027-01-01', windows: [], note: 'shut between the years' },
  ];
  expect(shownExceptions(stored)).toMatchObject([{ fromOn: '2026-12-24', lastOn: '2026-12-31' }]);
  expect(typedExceptions(shownExceptions(stored), 'dayExceptions')).toEqual(stored);
  expect(typedExceptions([{ fromOn: '2026-12-24', lastOn: '', hours: '8-12', note: '' }], 'x')).toEqual([
    { fromOn: '2026-12-24', untilOn: '2026-12-25', windows: [{ from: '08:00', until: '12:00' }], note: null },
  ]);
});
