import { SeededRandom } from '../../../src/core/shared/seeded-random';
import type { PlanProblem, PlanVehicle } from '../../../src/core/downtime-plan/plan-problem';
import { buildPlanProblem } from '../../../src/modules/downtime-plans/build-plan-problem';
import { conflictOfItem, conflictsOfLocks } from '../../../src/modules/downtime-plans/plan-conflicts';
import type { OwedItem, PlanInputs } from '../../../src/modules/downtime-plans/plan-inputs';
import { spreadOfVisit } from '../../support/plan-check';
import { bay, booking, dateOf, DAYS, owed, person, planInputs, workshop } from '../../support/plan-inputs';

type Given = Parameters<typeof planInputs>[0];

/** May be done on Tuesday and Wednesday of the first week. */
const WORK = owed('one', 'fluid-change', {
  earlyOn: dateOf(1),
  dueOn: dateOf(1),
  lateOn: dateOf(2),
  title: 'Change the fluid',
});
const needs = (change: Partial<OwedItem>): Given => ({ items: [{ ...WORK, ...change }] });

function conflictIn(given: Given) {
  const inputs = planInputs({ items: [WORK], ...given });
  return conflictOfItem(inputs, buildPlanProblem(inputs), 0, 0);
}
const needed = (...count: number[]) =>
  new Map([['depot', Array.from({ length: DAYS }, (_, day) => count[day] ?? 0)]]);
const period = (from: number, until: number, reason = 'fair') => ({
  fromOn: dateOf(from),
  untilOn: dateOf(until),
  reason,
});
const competent = (codes: string[], until: number) =>
  person('hand', [], { competences: codes.map((code) => ({ code, untilOn: dateOf(until) })) });

describe('what is said to be in the way', () => {
  test('nothing is', () => {
    expect(conflictIn({})).toBeNull();
    expect(conflictIn({ blackouts: new Map([['one', [period(0, 2)]]]) })).toBeNull();
  });

  test('which vehicle, which work, between which days', () => {
    expect(conflictIn({ workshops: [workshop('near', { bays: [] })] })).toMatchObject({
      vehicleId: 'one',
      registrationMark: 'ONE',
      wanted: 'Change the fluid between 2026-08-04 and 2026-08-05',
    });
  });

  test.each<[what: string, given: Given, facts: string[]]>([
    [
      'it has to stay on the road',
      { blackouts: new Map([['one', [period(1, 3, 'parade')]]]) },
      ['It has to stay on the road from 2026-08-04 until 2026-08-06: parade.'],
    ],
    [
      'on one day it has to stay, the other is forbidden',
      {
        blackouts: new Map([['one', [period(1, 2)]]]),
        wishes: { locked: [], forbidden: [{ vehicleId: 'one', on: dateOf(2) }] },
      },
      [
        'It has to stay on the road from 2026-08-04 until 2026-08-05: fair.',
        'You forbade 2026-08-05 for it.',
      ],
    ],
    [
      'on one day it is booked, on the other the roster needs it',
      { bookings: [booking('one', 1)], neededOnRoad: needed(0, 0, 1) },
      [
        'It is booked into a workshop on 2026-08-04 already.',
        'The roster of Upper Tarn spares no more vehicle on these days.',
      ],
    ],
    [
      'all bays are closed',
      {
        workshops: [workshop('near', { bays: [bay('lift', { closures: [{ startsAt: 0, endsAt: 4e12 }] })] })],
      },
      ['Time of bays of the kind lift is too short on these days.'],
    ],
    [
      'the people have no time',
      {
        workshops: [
          workshop('near', {
            technicians: [person('hand', ['hydraulics'], { absences: [{ startsAt: 0, endsAt: 4e12 }] })],
          }),
        ],
      },
      ['Working time of people competent in hydraulics is too short on these days.'],
    ],
    [
      'no bay is of that kind',
      needs({ bayKind: 'pit' }),
      ['No bay at any workshop within reach is of the kind pit.'],
    ],
    [
      'nobody is competent',
      needs({ competences: ['brakes'] }),
      ['No technician at any workshop within reach has the competence brakes.'],
    ],
    [
      'nobody has one competence of two: only that one is named',
      needs({ competences: ['brakes', 'hydraulics'] }),
      ['No technician at any workshop within reach has the competence brakes.'],
    ],
    [
      'each competence is there, but in nobody together',
      {
        ...needs({ competences: ['brakes', 'hydraulics'] }),
        workshops: [
          workshop('near', { technicians: [person('a', ['hydraulics']), person('b', ['brakes'])] }),
          workshop('far', { technicians: [person('c', ['steering', 'brakes'])] }),
        ],
      },
      ['No technician at any workshop within reach has the competences brakes and hydraulics together.'],
    ],
    [
      'the competence has run out',
      { workshops: [workshop('near', { technicians: [competent(['hydraulics'], 1)] })] },
      ['No technician at any workshop within reach has the competence hydraulics any more on these days.'],
    ],
    [
      'there is nobody at all',
      { workshops: [workshop('near', { technicians: [] })] },
      ['No technician at any workshop within reach has the competence hydraulics.'],
    ],
    [
      'someone competent is out of reach',
      {
        ...needs({ competences: ['brakes'] }),
        workshops: [workshop('near'), workshop('far', { technicians: [person('c', ['brakes'])] })],
        ways: new Map([['depot', [{ workshopId: 'near', costMinor: 0 }]]]),
      },
      ['No technician at any workshop within reach has the competence brakes.'],
    ],
    [
      'nothing is open',
      {
        workshops: [
          workshop('near', {
            opening: { zone: 'Europe/London', weekly: { 6: [{ from: '08:00', until: '12:00' }] } },
          }),
        ],
      },
      ['No workshop within reach is open on these days for as long as it takes.'],
    ],
    [
      'it is longer than any day',
      needs({ labourMinutes: 466 }),
      ['No workshop within reach is open on these days for as long as it takes.'],
    ],
    [
      'no workshop is within reach',
      { ways: new Map() },
      ['No workshop within reach is open on these days for as long as it takes.'],
    ],
  ])('%s', (_, given, facts) => {
    expect(conflictIn(given)?.facts).toEqual(facts);
  });

  test('people that are assumed are not said to be missing', () => {
    const assuming = (competences: string[], count = 1): Given => ({
      ...needs({ competences: ['brakes'], labourMinutes: 300 }),
      assumptions: [{ kind: 'more-technicians', workshopId: 'near', count, competences }],
    });
    expect(conflictIn(assuming(['brakes']))).toBeNull();
    expect(conflictIn(assuming(['hydraulics']))?.facts).toEqual([
      'No technician at any workshop within reach has the competence brakes.',
    ]);
  });

  test('work over nights has to be over in time, and every day of it counts', () => {
    const stays = [workshop('near', { vehicleStay: 'overnight' })];
    // 465 minutes a day
    const long = (more: Given, labourMinutes = 600): Given => ({
      ...needs({ labourMinutes }),
      workshops: stays,
      ...more,
    });
    expect(conflictIn(long({}))).toBeNull();
    expect(conflictIn(long({}, 931))?.facts).toEqual([
      'No workshop within reach is open on these days for as long as it takes.',
    ]);
    expect(conflictIn(long({ blackouts: new Map([['one', [period(2, 3)]]]) }))?.facts).toEqual([
      'It has to stay on the road from 2026-08-05 until 2026-08-06: fair.',
    ]);
    expect(conflictIn(long({ neededOnRoad: needed(0, 0, 1) }))?.facts).toEqual([
      'The roster of Upper Tarn spares no more vehicle on these days.',
    ]);
  });
});

describe('locked visits that cannot be', () => {
  const lock = (vehicleId: string, day: number, workshopId = 'near') => ({
    vehicleId,
    workshopId,
    on: dateOf(day),
    dueItemKeys: ['fluid-change'],
  });
  const conflictsIn = (locked: ReturnType<typeof lock>[], given: Given = {}) => {
    const vehicles = ['one', 'two'];
    const items = vehicles.map((id) => ({ ...WORK, vehicleId: id, labourMinutes: 300 }));
    const inputs = planInputs({ vehicles, items, wishes: { locked, forbidden: [] }, ...given });
    return conflictsOfLocks(inputs, buildPlanProblem(inputs));
  };

  test('both fit, on days of their own', () => {
    expect(conflictsIn([lock('one', 1), lock('two', 2)])).toEqual([]);
  });

  test('two take more than there is, each with the other named', () => {
    const both = conflictsIn([lock('one', 1), lock('two', 1)]);
    expect(both.map(({ wanted }) => wanted)).toEqual([
      'Visit to near workshop on 2026-08-04 (Change the fluid)',
      'Visit to near workshop on 2026-08-04 (Change the fluid)',
    ]);
    expect(both.map(({ facts }) => facts)).toEqual([
      [
        'Working time of people competent in hydraulics is too short on these days.',
        'The visit of TWO on 2026-08-04 is locked.',
      ],
      [
        'Working time of people competent in hydraulics is too short on these days.',
        'The visit of ONE on 2026-08-04 is locked.',
      ],
    ]);
  });

  test('the roster spares one of two', () => {
    const roomy = workshop('near', {
      bays: [bay('a'), bay('b')],
      technicians: ['c', 'd'].map((id) => person(id, ['hydraulics'])),
    });
    const [first] = conflictsIn([lock('one', 1), lock('two', 1)], {
      workshops: [roomy],
      neededOnRoad: needed(0, 1),
    });
    expect(first!.facts).toEqual([
      'The roster of Upper Tarn spares no more vehicle on these days.',
      'The visit of TWO on 2026-08-04 is locked.',
    ]);
  });

  test('nobody is competent at that workshop, whoever is elsewhere', () => {
    const workshops = [workshop('near'), workshop('far', { technicians: [person('c', ['brakes'])] })];
    const [only] = conflictsIn([lock('one', 1, 'far')], { workshops });
    expect(only).toMatchObject({
      wanted: 'Visit to far workshop on 2026-08-04 (Change the fluid)',
      facts: ['No technician at far workshop has the competence hydraulics.'],
    });
  });

  test('it is shut', () => {
    const [only] = conflictsIn([lock('one', 5)]);
    expect(only!.facts).toEqual(['No workshop within reach is open on these days for as long as it takes.']);
  });
});

describe('on random records the facts are a conflict, and each of them is needed', () => {
  test('by looking at every day and workshop', () => {
    let seen = 0;
    const sizes = new Set<number>();
    for (let seed = 1; seed <= 250; seed++) {
      const inputs = randomInputs(seed);
      const built = buildPlanProblem(inputs);
      const conflict = conflictOfItem(inputs, built, 0, 0);
      const facts = conflict?.facts ?? [];
      const all = everyFact(inputs, built.unlocked);
      if (conflict === null) {
        expect(hasDay(inputs, built.unlocked, all)).toBe(true);
        continue;
      }
      if (facts.some((fact) => fact.startsWith('No workshop within reach is open'))) {
        expect(hasDay(inputs, built.unlocked, [])).toBe(false);
        continue;
      }
      seen++;
      sizes.add(facts.length);
      expect(all).toEqual(expect.arrayContaining(facts.map(factOf)));
      expect(hasDay(inputs, built.unlocked, facts.map(factOf))).toBe(false);
      for (const fact of facts)
        expect(hasDay(inputs, built.unlocked, facts.filter((each) => each !== fact).map(factOf))).toBe(true);
    }
    expect(seen).toBeGreaterThan(100);
    for (const size of [1, 2, 3]) expect(sizes).toContain(size);
  });
});

/** One vehicle that owes one piece of work within some days of a week, and many things that are in the way. */
function randomInputs(seed: number): PlanInputs {
  const random = new SeededRandom(seed);
  const chance = (share: number): boolean => random.next() < share;
  const earliest = random.integer(0, 3);
  const latest = earliest + random.integer(0, 2);
  const days = [0, 1, 2, 3, 4, 5];
  const busy = days.flatMap((day) =>
    chance(0.4)
      ? [{ startsAt: booking('one', day).fromAt, endsAt: booking('one', day).untilAt + 4 * 3_600_000 }]
      : [],
  );
  const item = owed('one', 'fluid-change', {
    earlyOn: dateOf(earliest),
    dueOn: dateOf(earliest),
    lateOn: dateOf(latest),
    labourMinutes: random.integer(30, 400),
    competences: chance(0.3) ? ['brakes', 'hydraulics'] : ['hydraulics'],
  });
  return planInputs({
    items: [item],
    workshops: [
      workshop('near', {
        bays: [bay('lift', { busy }), bay('flat', { kinds: ['flat'] })],
        technicians: [
          person('a', chance(0.5) ? ['hydraulics'] : ['hydraulics', 'brakes'], {
            busy: chance(0.5) ? busy.slice(0, 2) : [],
          }),
        ],
      }),
    ],
    blackouts: new Map([
      ['one', days.filter(() => chance(0.35)).map((day) => period(day, day + 1, `reason ${day}`))],
    ]),
    wishes: {
      locked: [],
      forbidden: days.filter(() => chance(0.2)).map((day) => ({ vehicleId: 'one', on: dateOf(day) })),
    },
    bookings: days.filter(() => chance(0.1)).map((day) => booking('one', day)),
    neededOnRoad: needed(...days.map(() => Number(chance(0.35)))),
  });
}

/** What a sentence speaks of. */
function factOf(sentence: string): string {
  const [, blackout] = /^It has to stay on the road from (\S+) /.exec(sentence) ?? [];
  const [, forbidden] = /^You forbade (\S+) /.exec(sentence) ?? [];
  const [, booked] = /^It is booked into a workshop on (\S+) /.exec(sentence) ?? [];
  if (blackout !== undefined) return `blackout ${blackout}`;
  if (forbidden !== undefined) return `forbidden ${forbidden}`;
  if (booked !== undefined) return `booked ${booked}`;
  if (sentence.startsWith('The roster')) return 'roster';
  if (sentence.startsWith('Bay time')) return 'bays';
  if (sentence.startsWith('Working time of people is')) return 'people';
  if (sentence.includes('kind lift')) return 'bay kind lift';
  if (sentence.includes('brakes and hydraulics')) return 'competence brakes+hydraulics';
  if (/competence brakes|competent in brakes/.test(sentence)) return 'competence brakes';
  if (/competence hydraulics|competent in hydraulics/.test(sentence)) return 'competence hydraulics';
  throw new Error(`not a fact: ${sentence}`);
}

function everyFact({ blackouts, wishes, bookings }: PlanInputs, { resources }: PlanProblem): string[] {
  return [
    ...(blackouts.get('one') ?? []).map(({ fromOn }) => `blackout ${fromOn}`),
    ...wishes.forbidden.map(({ on }) => `forbidden ${on}`),
    ...bookings.map(({ startsAt }) => `booked ${new Date(startsAt).toISOString().slice(0, 10)}`),
    'roster',
    ...resources,
  ];
}

/** Whether there is a day in the window on which the one item can be done while only these facts hold. */
function hasDay({ neededOnRoad }: PlanInputs, problem: PlanProblem, inForce: readonly string[]): boolean {
  const [{ reach, items }] = problem.vehicles as [PlanVehicle];
  const { earliestDay, latestDay } = items[0]!;
  for (let day = earliestDay; day <= latestDay; day++) {
    const on = dateOf(day);
    if (inForce.some((fact) => fact.endsWith(on))) continue;
    if (inForce.includes('roster') && neededOnRoad.get('depot')![day]! > 0) continue;
    for (const { workshop: at } of reach) {
      const spread = spreadOfVisit(problem, { vehicle: 0, workshop: at, day, items: [0] });
      if (typeof spread === 'string') continue;
      const { freeMinutes } = problem.workshops[at]!;
      const isFree = problem.resources.every(
        (resource, index) =>
          !inForce.includes(resource) ||
          spread.work[0]!.minutes[index]! <= freeMinutes[day * problem.resources.length + index]!,
      );
      if (isFree) return true;
    }
  }
  return false;
}
