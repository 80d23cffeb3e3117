import { workPeriodsOf } from '../../../src/modules/job-sheets/work-periods';

const booked = {
  technicianIds: ['a', 'b'],
  workStartedAt: new Date('2026-11-25T09:30:00Z'),
  pieces: [
    { startsAt: '2026-11-25T09:00:00.000Z', endsAt: '2026-11-25T12:00:00.000Z' },
    { startsAt: '2026-11-25T13:00:00.000Z', endsAt: '2026-11-25T15:00:00.000Z' },
  ],
};
const spans = (finishedAt: string, job = booked): string[] =>
  workPeriodsOf(null, job, new Date(finishedAt)).map(({ technicianId, startsAt, endsAt }) =>
    [technicianId, startsAt.slice(11, 16), endsAt.slice(11, 16)].join(' '),
  );

test('the booked times of everybody, from the start of the work to its end', () => {
  expect(spans('2026-11-25T14:00:00Z')).toEqual([
    'a 09:30 12:00',
    'a 13:00 14:00',
    'b 09:30 12:00',
    'b 13:00 14:00',
  ]);
  // it ended in the break
  expect(spans('2026-11-25T12:30:00Z')).toEqual(['a 09:30 12:00', 'b 09:30 12:00']);
});

test('from start to end where it was done at another time than booked', () => {
  const workStartedAt = new Date('2026-11-25T16:00:00Z');
  expect(spans('2026-11-25T17:00:00Z', { ...booked, workStartedAt })).toEqual([
    'a 16:00 17:00',
    'b 16:00 17:00',
  ]);
});

test('as stated, in UTC', () => {
  const stated = [
    { technicianId: 'c', startsAt: '2026-11-25T10:00:00+01:00', endsAt: '2026-11-25T11:00:00+01:00' },
  ];
  expect(workPeriodsOf(stated, booked, new Date('2026-11-25T14:00:00Z'))).toEqual([
    { technicianId: 'c', startsAt: '2026-11-25T09:00:00.000Z', endsAt: '2026-11-25T10:00:00.000Z' },
  ]);
});
