import { signersOf } from '../../../src/desk/pages/job-sheets/job/signers';
import { figureText, typedFigure } from '../../../src/desk/pages/job-sheets/job/quantities';
import {
  dayOf,
  jobsInOrder,
  nextStepOf,
  type Booking,
  type Job,
} from '../../../src/desk/pages/job-sheets/todays-jobs';

const job = (state: Booking['state'], startsAt: string, isMine = false): Job => ({
  booking: { state, startsAt } as Booking,
  jobSheetId: null,
  registrationMark: startsAt,
  bayName: 'Lift 1',
  people: [],
  isMine,
});

it("puts one's own jobs first, then by time, and what is finished last", () => {
  const jobs = [
    job('finished', '07:00', true),
    job('confirmed', '09:00'),
    job('cancelled', '08:00', true),
    job('in-work', '10:00', true),
    job('arrived', '08:00'),
  ];
  expect(jobsInOrder(jobs).map(({ registrationMark }) => registrationMark)).toEqual([
    '10:00',
    '08:00',
    '09:00',
    '07:00',
  ]);
});

it('knows what is next', () => {
  const next = (state: Booking['state'], jobSheetId: string | null) =>
    nextStepOf({ booking: { state } as Booking, jobSheetId });
  expect(next('confirmed', null)).toBe('arrive');
  expect(next('arrived', null)).toBe('start');
  expect(next('in-work', null)).toBe('make-sheet');
  expect(next('in-work', 'sheet')).toBe('open-sheet');
  expect(next('finished', null)).toBeNull();
});

// The clocks of the zone went back on 2026-10-25: tz database, Europe/London.
it('knows a day of 25 hours', () => {
  expect(dayOf('2026-10-25', 'Europe/London')).toEqual({
    fromAt: '2026-10-24T23:00:00.000Z',
    untilAt: '2026-10-26T00:00:00.000Z',
  });
});

it('names who may sign off on the day, and what the others lack', () => {
  const technician = (name: string, lastOn: string | null, retiredOn: string | null = null) => ({
    id: name,
    name,
    retiredOn,
    competences: [{ code: 'brakes', lastOn }],
  });
  const technicians = [
    technician('Ash', '2026-11-24'),
    technician('Birch', '2026-11-25'),
    technician('Cedar', null, '2026-11-25'),
  ];
  const signers = signersOf({ technicians, signOffCompetence: null }, ['brakes'], '2026-11-25');
  expect(signers.map(({ technician: { name }, lacks }) => [name, lacks])).toEqual([
    ['Birch', []],
    ['Ash', ['brakes']],
  ]);
  const [birch] = signersOf({ technicians, signOffCompetence: 'hydraulics' }, [], '2026-11-25').slice(-1);
  expect(birch?.lacks).toEqual(['hydraulics']);
});

it.each([
  ['bar', '61.5', 'en-GB'],
  ['bar', '61,5', 'de-DE'],
  ['kPa', '6150', 'en-GB'],
  ['psi', '900', 'en-GB'],
] as const)('shows %s as they were typed: %s (%s)', (pressureUnit, typed, locale) => {
  const reader = { pressureUnit, locale };
  const bar = typedFigure(typed, 'pressure', reader);
  expect(figureText(bar, 'pressure', reader)).toBe(typed);
});
