import { InputError } from '../../../src/core/shared/input-error';
import { instantAtLocalTime } from '../../../src/core/shared/local-time';
import { findSlots, type SlotQuestion } from '../../../src/core/working-time/find-slots';
import { prepareDiary } from '../../../src/core/working-time/prepare-diary';
import type { Bay, Job, Technician, Workshop } from '../../../src/core/working-time/workshop';

// Small diaries whose answer can be read off; the rules are choices of this project (common practice, no
// published source). The arithmetic is checked elsewhere, minute by minute.

const ZONE = 'Europe/London';
const at = (text: string) => instantAtLocalTime(text.slice(0, 10), text.slice(11), ZONE);
const period = (from: string, until: string) => ({ startsAt: at(from), endsAt: at(until) });
const HOURS = [
  { from: '08:00', until: '12:00' },
  { from: '13:00', until: '17:00' },
];
const WEEK = { 1: HOURS, 2: HOURS, 3: HOURS, 4: HOURS, 5: HOURS };
const bay = (id: string, more: Partial<Bay> = {}): Bay => ({
  id,
  kinds: ['lift'],
  closures: [],
  busy: [],
  ...more,
});
const person = (id: string, codes: readonly string[], more: Partial<Technician> = {}): Technician => ({
  id,
  competences: codes.map((code) => ({ code, untilOn: null })),
  shifts: WEEK,
  shiftExceptions: [],
  absences: [],
  busy: [],
  ...more,
});
const workshop = (more: Partial<Workshop> = {}): Workshop => ({
  id: 'w',
  opening: { zone: ZONE, weekly: WEEK },
  bays: [bay('b')],
  technicians: [person('t', ['gas'])],
  minutesBefore: 0,
  minutesAfter: 0,
  vehicleStay: 'not-at-all',
  gridMinutes: 15,
  ...more,
});
const JOB: Job = {
  minutes: 120,
  bayKinds: ['lift'],
  needed: [{ competences: ['gas'] }],
  separatePeople: false,
  minutesBefore: null,
  minutesAfter: null,
};
// Monday to Friday
const ask = (workshops: readonly Workshop[], job: Partial<Job> = {}, more: Partial<SlotQuestion> = {}) =>
  findSlots({
    workshops,
    job: { ...JOB, ...job },
    fromAt: at('2025-05-12T00:00'),
    untilAt: at('2025-05-17T00:00'),
    count: 1,
    vehicleBusy: [],
    searchUntilAt: at('2025-06-30T00:00'),
    ...more,
  });
const WEEK_LONG = [period('2025-05-12T00:00', '2025-05-19T00:00')];

describe('jobs that run on', () => {
  test('over the break, the night and the weekend, where the vehicle may stay', () => {
    const { slots } = ask(
      [workshop({ vehicleStay: 'overnight' })],
      { minutes: 600 },
      { fromAt: at('2025-05-09T14:00'), untilAt: at('2025-05-17T00:00') },
    );
    expect(slots).toMatchObject([
      {
        startsAt: at('2025-05-09T14:00'),
        endsAt: at('2025-05-12T16:00'),
        pieces: [
          period('2025-05-09T14:00', '2025-05-09T17:00'),
          period('2025-05-12T08:00', '2025-05-12T12:00'),
          period('2025-05-12T13:00', '2025-05-12T16:00'),
        ],
      },
    ]);
  });
  test('over the break only', () => {
    const [slot] = ask(
      [workshop({ vehicleStay: 'over-breaks' })],
      { minutes: 300 },
      { fromAt: at('2025-05-12T14:00') },
    ).slots;
    expect(slot).toMatchObject({ startsAt: at('2025-05-13T08:00'), endsAt: at('2025-05-13T14:00') });
  });
  test('midnight between closing and opening is a night, whatever the clock says', () => {
    const late = { 1: [{ from: '20:00', until: '24:00' }], 2: [{ from: '08:00', until: '10:00' }] };
    const shop = workshop({
      opening: { zone: ZONE, weekly: late },
      technicians: [person('t', ['gas'], { shifts: late })],
      vehicleStay: 'over-breaks',
    });
    expect(ask([shop], { minutes: 300 }).slots).toEqual([]);
  });
  test('the bay is taken throughout, at night too', () => {
    const busyAtNight = bay('b', { busy: [period('2025-05-12T20:00', '2025-05-12T21:00')] });
    const [slot] = ask([workshop({ vehicleStay: 'overnight', bays: [busyAtNight] })], { minutes: 600 }).slots;
    expect(slot?.startsAt).toBe(at('2025-05-13T08:00'));
  });
  test('another booking of a person in between is no pause', () => {
    const busy = [period('2025-05-12T13:00', '2025-05-12T14:00')];
    const shop = workshop({ vehicleStay: 'overnight', technicians: [person('t', ['gas'], { busy })] });
    expect(ask([shop], { minutes: 300 }).slots[0]?.startsAt).toBe(at('2025-05-12T14:00'));
  });
  test('two people work only while both are on shift', () => {
    const early = { 1: [{ from: '08:00', until: '12:00' }], 2: [{ from: '08:00', until: '12:00' }] };
    const shop = workshop({
      vehicleStay: 'overnight',
      technicians: [person('t', ['gas']), person('u', ['brakes'], { shifts: early })],
    });
    const needed = [{ competences: ['gas'] }, { competences: ['brakes'] }];
    expect(ask([shop], { minutes: 300, needed }).slots).toMatchObject([
      {
        technicianIds: ['u', 't'],
        pieces: [
          period('2025-05-12T08:00', '2025-05-12T12:00'),
          period('2025-05-13T08:00', '2025-05-13T09:00'),
        ],
      },
    ]);
  });
});

describe('who and where', () => {
  test('the fewest people, one of whom may be several of those needed', () => {
    const technicians = [person('a', ['gas']), person('b', ['brakes']), person('c', ['gas', 'brakes'])];
    const needed = [{ competences: ['gas'] }, { competences: ['brakes'] }];
    expect(ask([workshop({ technicians })], { needed }).slots[0]?.technicianIds).toEqual(['c']);
    expect(
      ask([workshop({ technicians })], { needed, separatePeople: true }).slots[0]?.technicianIds,
    ).toEqual(['a', 'b']);
  });
  test('two competences of one needed person are not split over two people', () => {
    const technicians = [person('a', ['gas']), person('b', ['brakes'])];
    expect(ask([workshop({ technicians })], { needed: [{ competences: ['gas', 'brakes'] }] }).slots).toEqual(
      [],
    );
  });
  test('who has the least free time, then the lower id', () => {
    const busy = [period('2025-05-15T08:00', '2025-05-15T09:00')];
    const people = [person('a', ['gas']), person('z', ['gas'], { busy })];
    const shop = workshop({ technicians: people, bays: [bay('y'), bay('x'), bay('z', { busy })] });
    expect(ask([shop]).slots).toMatchObject([{ technicianIds: ['z'], bayId: 'z' }]);
    const equal = workshop({
      technicians: [person('b', ['gas']), person('a', ['gas'])],
      bays: [bay('y'), bay('x')],
    });
    expect(ask([equal]).slots).toMatchObject([{ technicianIds: ['a'], bayId: 'x' }]);
  });
  test('a competence counts until the day on which it ends, and must last for the whole job', () => {
    const technicians = [person('t', [], { competences: [{ code: 'gas', untilOn: '2025-05-13' }] })];
    const asked = ask(
      [workshop({ technicians, vehicleStay: 'overnight' })],
      { minutes: 240 },
      { count: 100 },
    );
    expect(asked.slots.at(-1)).toMatchObject({
      startsAt: at('2025-05-12T13:00'),
      endsAt: at('2025-05-12T17:00'),
    });
  });
  test('work may end with the last minute of a competence, and not one later', () => {
    const whole = [{ from: '00:00', until: '24:00' }];
    const always = { 1: whole, 2: whole, 3: whole };
    const technicians = [
      person('t', [], { competences: [{ code: 'gas', untilOn: '2025-05-13' }], shifts: always }),
    ];
    const shop = workshop({ technicians, opening: { zone: ZONE, weekly: always } });
    const lastEnd = (minutes: number) => ask([shop], { minutes }, { count: 1_000 }).slots.at(-1)?.endsAt;
    expect(lastEnd(120)).toBe(at('2025-05-13T00:00'));
    expect(lastEnd(121)).toBe(at('2025-05-12T23:46'));
  });
  test('people of other shifts, where those of the same shift are busy when they would go on', () => {
    const mornings = { 1: [{ from: '08:00', until: '12:00' }], 2: [{ from: '08:00', until: '12:00' }] };
    const busy = [period('2025-05-12T13:00', '2025-05-12T14:00')];
    const technicians = [
      person('x', ['gas'], { busy: [period('2025-05-13T10:00', '2025-05-17T00:00')] }),
      person('y', ['brakes'], { busy }),
      person('z', ['gas'], { shifts: mornings }),
    ];
    const needed = [{ competences: ['gas'] }, { competences: ['brakes'] }];
    const shop = workshop({ technicians, vehicleStay: 'overnight' });
    expect(ask([shop], { minutes: 300, needed }).slots).toMatchObject([
      {
        technicianIds: ['z', 'y'],
        startsAt: at('2025-05-12T08:00'),
        pieces: [
          period('2025-05-12T08:00', '2025-05-12T12:00'),
          period('2025-05-13T08:00', '2025-05-13T09:00'),
        ],
      },
    ]);
  });
  test('of two workshops the earlier, then the lower id', () => {
    const late = { 1: [{ from: '09:00', until: '12:00' }] };
    const other = workshop({ id: 'a', opening: { zone: ZONE, weekly: late } });
    const slots = ask([workshop(), other], {}, { count: 6 }).slots;
    expect(
      slots.map(({ workshopId, startsAt }) => [workshopId, (startsAt - at('2025-05-12T08:00')) / 60_000]),
    ).toEqual([
      ['w', 0],
      ['w', 15],
      ['w', 30],
      ['w', 45],
      ['a', 60],
      ['w', 60],
    ]);
  });
  test('the minutes before and after keep the bay and the vehicle', () => {
    const busy = [period('2025-05-12T08:00', '2025-05-12T09:00')];
    const before = workshop({ minutesBefore: 20, minutesAfter: 5 });
    const expected = {
      startsAt: at('2025-05-12T09:30'),
      bayFromAt: at('2025-05-12T09:10'),
      bayUntilAt: at('2025-05-12T11:35'),
    };
    expect(ask([{ ...before, bays: [bay('b', { busy })] }]).slots).toMatchObject([expected]);
    expect(ask([before], {}, { vehicleBusy: busy }).slots).toMatchObject([expected]);
    const afterwards = [{ ...before, technicians: [person('t', ['gas'], { busy })] }];
    expect(ask(afterwards).slots[0]?.startsAt).toBe(at('2025-05-12T09:00'));
  });
});

describe('nothing free', () => {
  const reason = (...asked: Parameters<typeof ask>) => ask(...asked).nothingFree;

  test('a competence, and the date on which it is there again', () => {
    const technicians = [person('t', ['gas'], { absences: WEEK_LONG }), person('u', ['brakes'])];
    expect(reason([workshop({ technicians })])).toMatchObject({
      scarcest: { kind: 'competence', competence: 'gas' },
      firstFitOn: '2025-05-19',
      firstFit: { startsAt: at('2025-05-19T08:00') },
    });
  });
  test('a competence that expires in the range and is never there again', () => {
    const technicians = [person('t', [], { competences: [{ code: 'gas', untilOn: '2025-05-12' }] })];
    expect(reason([workshop({ technicians })])).toMatchObject({
      scarcest: { kind: 'competence', competence: 'gas' },
      firstFit: null,
      firstFitOn: null,
      searchedUntilAt: at('2025-06-30T00:00'),
    });
  });
  test('a bay of the kind', () => {
    const bays = [bay('b', { busy: WEEK_LONG }), bay('c', { kinds: ['pit'] })];
    expect(reason([workshop({ bays })])).toMatchObject({
      scarcest: { kind: 'bay-kind', bayKinds: ['lift'] },
      remedies: [{ firstStartsAt: at('2025-05-12T08:00'), starts: 5 * 18 }],
      firstFitOn: '2025-05-19',
    });
  });
  test('people at all', () => {
    expect(
      reason([workshop({ technicians: [person('t', ['gas'], { absences: WEEK_LONG })] })]),
    ).toMatchObject({
      scarcest: { kind: 'technicians' },
      firstFitOn: '2025-05-19',
    });
  });
  test('the vehicle', () => {
    expect(reason([workshop()], {}, { vehicleBusy: WEEK_LONG })).toMatchObject({
      scarcest: { kind: 'vehicle' },
      firstFitOn: '2025-05-19',
    });
  });
  test('the opening', () => {
    const closedOn = ['2025-05-12', '2025-05-13', '2025-05-14', '2025-05-15', '2025-05-16'];
    const opening = { zone: ZONE, weekly: WEEK, closedOn };
    expect(reason([workshop({ opening })])).toMatchObject({
      scarcest: { kind: 'opening' },
      firstFitOn: '2025-05-19',
    });
    const evenings = { 1: [{ from: '18:00', until: '20:00' }] };
    const late = workshop({ technicians: [person('t', ['gas'], { shifts: evenings })] });
    expect(reason([late])).toMatchObject({
      remedies: [{ scarcity: { kind: 'technicians' } }, { scarcity: { kind: 'opening' } }],
    });
  });
  test('the length of the job, against the opening hours', () => {
    expect(reason([workshop()], { minutes: 241 })).toMatchObject({
      scarcest: { kind: 'job-length', against: 'opening', longestMinutes: 240 },
      firstFit: null,
    });
    expect(reason([workshop({ vehicleStay: 'over-breaks' })], { minutes: 500 })).toMatchObject({
      scarcest: { kind: 'job-length', against: 'opening', longestMinutes: 480 },
    });
  });
  test('the length of the job, against the bookings of everybody at once', () => {
    const free = period('2025-05-14T09:00', '2025-05-14T10:30');
    const busy = [
      { startsAt: at('2025-05-12T00:00'), endsAt: free.startsAt },
      { startsAt: free.endsAt, endsAt: at('2025-05-17T00:00') },
    ];
    const shop = workshop({ bays: [bay('b', { busy })], technicians: [person('t', ['gas'], { busy })] });
    expect(reason([shop])).toMatchObject({
      scarcest: { kind: 'job-length', against: 'bookings', longestMinutes: 90 },
      remedies: [],
    });
  });
  test('several things at once: the one that blocks by itself', () => {
    const shop = workshop({
      bays: [bay('c', { kinds: ['pit'] })],
      technicians: [person('t', ['gas'], { absences: WEEK_LONG })],
    });
    expect(reason([shop])).toMatchObject({ scarcest: { kind: 'technicians' }, remedies: [], firstFit: null });
  });
  test('three things that only block together', () => {
    const bays = [bay('b', { busy: [period('2025-05-12T12:00', '2025-05-17T00:00')] })];
    const busy = [
      period('2025-05-12T00:00', '2025-05-13T12:00'),
      period('2025-05-14T00:00', '2025-05-17T00:00'),
    ];
    const shop = workshop({ bays, technicians: [person('t', ['gas'], { busy })] });
    const vehicleBusy = [period('2025-05-12T00:00', '2025-05-14T00:00')];
    expect(reason([shop], {}, { vehicleBusy })).toMatchObject({
      scarcest: { kind: 'combination' },
      firstFitOn: '2025-05-19',
    });
  });
});

describe('a diary that is at hand', () => {
  test('answers as one that is made for the question', () => {
    const shop = workshop({
      technicians: [person('t', ['gas'], { absences: WEEK_LONG }), person('u', ['gas'])],
    });
    const diary = prepareDiary([shop], at('2025-05-12T00:00'), at('2025-05-17T00:00'));
    const question: SlotQuestion = {
      workshops: [shop],
      job: JOB,
      fromAt: diary.fromAt,
      untilAt: diary.untilAt,
      count: 7,
      vehicleBusy: [],
      searchUntilAt: diary.untilAt,
    };
    const answer = findSlots(question, diary);
    expect(answer.slots).toHaveLength(7);
    expect(answer).toEqual(findSlots(question));
  });
  test('that is longer than the range: the work ends within the range all the same', () => {
    const shop = workshop({ vehicleStay: 'overnight' });
    const diary = prepareDiary([shop], at('2025-05-12T00:00'), at('2025-05-31T00:00'));
    const question: SlotQuestion = {
      workshops: [shop],
      job: { ...JOB, minutes: 600 },
      fromAt: at('2025-05-12T12:00'),
      untilAt: at('2025-05-13T14:59'),
      count: 3,
      vehicleBusy: [],
      searchUntilAt: 0,
    };
    expect(findSlots(question, diary).slots).toEqual([]);
    expect(findSlots({ ...question, untilAt: at('2025-05-13T15:00') }, diary).slots).toMatchObject([
      { startsAt: at('2025-05-12T13:00'), endsAt: at('2025-05-13T15:00') },
    ]);
  });
  test('does not answer about other days', () => {
    const diary = prepareDiary([workshop()], at('2025-05-12T00:00'), at('2025-05-14T00:00'));
    const question = { workshops: [], job: JOB, count: 1, vehicleBusy: [], searchUntilAt: 0 };
    expect(() => findSlots({ ...question, fromAt: diary.fromAt, untilAt: diary.untilAt + 1 }, diary)).toThrow(
      InputError,
    );
  });
});

test.each([
  [{ minutes: 0 }, {}],
  [{ minutes: 1.5 }, {}],
  [{ minutesBefore: -1 }, {}],
  [{ needed: Array.from({ length: 13 }, () => ({ competences: [] })) }, {}],
  [{}, { count: 0 }],
  [{}, { untilAt: at('2025-05-12T00:00') }],
  [{}, { vehicleBusy: [period('2025-05-12T10:00', '2025-05-12T09:00')] }],
] as [Partial<Job>, Partial<SlotQuestion>][])('%j %j is refused', (job, more) => {
  expect(() => ask([workshop()], job, more)).toThrow(InputError);
});

test('a grid that does not divide a day is refused', () => {
  expect(() => ask([workshop({ gridMinutes: 7 })])).toThrow(InputError);
});
