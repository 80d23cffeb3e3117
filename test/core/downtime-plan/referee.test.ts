import {
  type PlanDraft,
  type PlanItem,
  type PlannedVisit,
  type PlanProblem,
  type PlanVehicle,
} from '../../../src/core/downtime-plan/plan-problem';
import { bruteForcePlan } from '../../support/plan-brute-force';
import { carriedOutAt, checkPlan, settlingSequence, spreadOfVisit } from '../../support/plan-check';

const FIRST: PlanItem = {
  minutes: [40, 40],
  earliestDay: 0,
  latestDay: 2,
  dueDay: 1,
  dayCosts: Int32Array.of(5, 0, 7),
  leftOutCost: 1_000,
  doFirst: [],
  settles: [],
};
const SECOND: PlanItem = {
  ...FIRST,
  minutes: [40, 20],
  latestDay: 4,
  dayCosts: Int32Array.of(4, 3, 2, 1, 0),
  doFirst: [0],
};
const OTHER: PlanItem = {
  ...FIRST,
  minutes: [60, 60],
  earliestDay: 1,
  latestDay: 3,
  dayCosts: Int32Array.of(0, 1, 2),
};
const ONE: PlanVehicle = {
  depot: 0,
  reach: [{ workshop: 0, visitCost: 50 }],
  blackoutDays: [4],
  items: [FIRST, SECOND],
};
const TWO: PlanVehicle = { ...ONE, blackoutDays: [], items: [OTHER] };
const WORKSHOP = {
  freeMinutes: new Int32Array(10).fill(100),
  visitMinutes: Int32Array.of(100, 90, 100, 0, 100),
  keepsOvernight: false,
};
// closed on day 3; one vehicle may be away at a time
const PROBLEM: PlanProblem = {
  dayCount: 5,
  resources: ['bays', 'people'],
  workshops: [WORKSHOP, WORKSHOP],
  depots: [{ spareVehicles: new Int32Array(5).fill(1) }],
  vehicles: [ONE, TWO],
};
const BOTH: PlannedVisit = { vehicle: 0, workshop: 0, day: 1, items: [0, 1] };
const THEIRS: PlannedVisit = { vehicle: 1, workshop: 0, day: 2, items: [0] };
const DRAFT: PlanDraft = { visits: [BOTH, THEIRS], leftOut: [], cost: 50 + 0 + 3 + 50 + 1 };

function withVisits(cost: number, ...visits: PlannedVisit[]): PlanDraft {
  return { ...DRAFT, visits, cost };
}

const IT = 'the visit of vehicle 0 at workshop 0';

test('a feasible plan that costs what it says has no fault', () => {
  expect(checkPlan(PROBLEM, DRAFT, { locked: [THEIRS] })).toEqual([]);
  expect(bruteForcePlan(PROBLEM)).toEqual(DRAFT);
});

const FAULTS: [what: string, draft: PlanDraft, faults: string[]][] = [
  ['a wrong cost', { ...DRAFT, cost: 105 }, ['the plan costs 104, not 105']],
  [
    'a forgotten item',
    withVisits(101, { ...BOTH, items: [0] }, THEIRS),
    ['item 1 of vehicle 0 stands 0 times in the plan'],
  ],
  [
    'an item at two visits',
    withVisits(159, { ...BOTH, day: 0, items: [0] }, BOTH, THEIRS),
    ['item 0 of vehicle 0 stands 2 times in the plan'],
  ],
  [
    'an item done and left out',
    { visits: DRAFT.visits, leftOut: [{ vehicle: 1, item: 0 }], cost: 1_104 },
    ['item 0 of vehicle 1 stands 2 times in the plan'],
  ],
  [
    'an unknown item left out',
    { visits: DRAFT.visits, leftOut: [{ vehicle: 1, item: 1 }], cost: 104 },
    ['item 1 of vehicle 1 is left out and does not exist'],
  ],
  [
    'a day before the earliest',
    withVisits(0, BOTH, { ...THEIRS, day: 0 }),
    ['the visit of vehicle 1 at workshop 0 on day 0 is before day 1, the earliest of item 0'],
  ],
  [
    'a day after the latest',
    withVisits(0, BOTH, { ...THEIRS, day: 4 }),
    ['the visit of vehicle 1 at workshop 0 on day 4 ends after day 3, the latest of item 0'],
  ],
  [
    'a workshop out of reach',
    withVisits(0, BOTH, { ...THEIRS, workshop: 1 }),
    ['the visit of vehicle 1 at workshop 1 on day 2 is at a workshop out of reach'],
  ],
  [
    'a day on the road',
    withVisits(50 + 0 + 50 + 0 + 51, { ...BOTH, items: [0] }, { ...BOTH, day: 4, items: [1] }, THEIRS),
    [`${IT} on day 4 is on day 4, when the vehicle has to stay on the road`],
  ],
  [
    'a day when the workshop is closed',
    withVisits(0, BOTH, { ...THEIRS, day: 3 }),
    ['the visit of vehicle 1 at workshop 0 on day 3 begins on a day when the workshop is closed'],
  ],
  [
    'two visits on a day',
    withVisits(154, { ...BOTH, items: [0] }, { ...BOTH, items: [1] }, THEIRS),
    [`${IT} on day 1 is while ${IT} on day 1 is not over`, 'depot 0 can spare 1 on day 1, the plan takes 2'],
  ],
  [
    'an item before what has to be done first',
    withVisits(
      54 + 57 + 50,
      { ...BOTH, day: 0, items: [1] },
      { ...BOTH, day: 2, items: [0] },
      { ...THEIRS, day: 1 },
    ),
    [`${IT} on day 0 has item 1 without item 0 done first`],
  ],
  [
    'an item whose first is left out',
    { visits: [{ ...BOTH, items: [1] }, THEIRS], leftOut: [{ vehicle: 0, item: 0 }], cost: 1_104 },
    [`${IT} on day 1 has item 1 without item 0 done first`],
  ],
  [
    'more minutes and vehicles than there are',
    withVisits(103, BOTH, { ...THEIRS, day: 1 }),
    [
      'workshop 0 has 100 minutes of bays on day 1, the plan takes 140',
      'workshop 0 has 100 minutes of people on day 1, the plan takes 120',
      'depot 0 can spare 1 on day 1, the plan takes 2',
    ],
  ],
  [
    'visits out of order',
    withVisits(104, THEIRS, BOTH),
    [`${IT} on day 1 is not in order of vehicle and day`],
  ],
  [
    'items out of order',
    withVisits(0, { ...BOTH, items: [1, 0] }, THEIRS),
    [`${IT} on day 1 has items that are not in ascending order`],
  ],
  ['no day', withVisits(0, { ...BOTH, day: 5 }, THEIRS), [`${IT} on day 5 is on no day of the plan`]],
];

test.each(FAULTS)('%s is a fault', (_, draft, faults) => {
  expect(checkPlan(PROBLEM, draft)).toEqual(faults);
});

test('a visit of nothing, of an unknown vehicle, workshop or item is a fault', () => {
  const odd = [
    { ...BOTH, items: [] },
    { ...BOTH, vehicle: 2 },
    { ...BOTH, workshop: 2 },
    { ...BOTH, items: [0, 2] },
  ];
  expect(odd.map((visit) => checkPlan(PROBLEM, withVisits(0, visit))[0])).toEqual([
    `${IT} on day 1 has no items`,
    'the visit of vehicle 2 at workshop 0 on day 1 is of no known vehicle',
    'the visit of vehicle 0 at workshop 2 on day 1 is at no known workshop',
    `${IT} on day 1 has item 2, which the vehicle has not`,
  ]);
});

test('a locked visit that is moved, shortened or gone is a fault', () => {
  const isLocked = [
    { ...THEIRS, day: 1 },
    { ...BOTH, items: [0] },
  ];
  expect(checkPlan(PROBLEM, DRAFT, { locked: isLocked })).toEqual([
    'the visit of vehicle 1 at workshop 0 on day 1 is locked and not planned',
    `${IT} on day 1 is locked and not planned`,
  ]);
});

describe('what settles what', () => {
  const settling = (...settles: number[][]): PlanItem[] =>
    settles.map((each) => ({ ...FIRST, settles: each }));

  test.each([
    ['nothing', settling([], [], []), [0, 1, 2]],
    ['a chain from the last', settling([], [0], [1]), [2, 1, 0]],
    ['the lowest that nothing left settles', settling([], [3], [0], []), [1, 2, 0, 3]],
    ['a circle is entered at its lowest', settling([1], [2], [0]), [0, 1, 2]],
    ['what hangs on a circle may come before it', settling([], [0, 2], [1]), [0, 1, 2]],
  ])('%s', (_, items, sequence) => {
    expect(settlingSequence(items)).toEqual(sequence);
  });

  test('what is settled settles nothing, and takes no minutes', () => {
    const vehicle = { ...ONE, items: settling([1], [2], []) };
    expect(carriedOutAt(vehicle, [0, 1, 2])).toEqual([0, 2]);
    expect(carriedOutAt(vehicle, [1, 2])).toEqual([1]);
    const problem = { ...PROBLEM, vehicles: [vehicle] };
    const visit = { ...BOTH, items: [0, 1, 2] };
    expect(spreadOfVisit(problem, visit)).toEqual({ lastDay: 1, work: [{ day: 1, minutes: [80, 80] }] });
  });
});

describe('work that is longer than a day', () => {
  // 210 minutes of bays: 90 on day 1, 100 on day 2, none on day 3, 20 on day 4; 100 of people in proportion
  const long = { ...SECOND, minutes: [170, 60], doFirst: [] };
  const vehicle = {
    ...ONE,
    blackoutDays: [],
    items: [{ ...FIRST, latestDay: 4, dayCosts: new Int32Array(5) }, long],
  };
  const overnight = { ...WORKSHOP, keepsOvernight: true };
  const problem: PlanProblem = { ...PROBLEM, workshops: [overnight], vehicles: [vehicle, TWO] };
  const draft: PlanDraft = { visits: [BOTH], leftOut: [{ vehicle: 1, item: 0 }], cost: 50 + 0 + 0 + 1_000 };

  test('goes on for as many open days as it takes', () => {
    expect(spreadOfVisit(problem, BOTH)).toEqual({
      lastDay: 4,
      work: [
        { day: 1, minutes: [90, 42] },
        { day: 2, minutes: [100, 48] },
        { day: 4, minutes: [20, 10] },
      ],
    });
    expect(checkPlan(problem, draft)).toEqual([]);
  });

  test.each<[string, Partial<PlanProblem>, string]>([
    [
      'needs a workshop that keeps it overnight',
      { workshops: [WORKSHOP] },
      'takes 210 minutes, more than the 90 of its day',
    ],
    [
      'needs an item that is longer than the longest day',
      { vehicles: [{ ...vehicle, items: [vehicle.items[0]!, { ...long, minutes: [100, 60] }] }, TWO] },
      'takes 140 minutes, more than the 90 of its day, and no item of it has to stay overnight',
    ],
    [
      'is over when the plan ends',
      { workshops: [{ ...overnight, visitMinutes: Int32Array.of(100, 90, 100, 0, 19) }] },
      'is not over when the plan ends',
    ],
    [
      'has no day on the road between, closed or not',
      { vehicles: [{ ...vehicle, blackoutDays: [3] }, TWO] },
      'is on day 3, when the vehicle has to stay on the road',
    ],
    [
      'is done on its last day',
      { vehicles: [{ ...vehicle, items: [{ ...vehicle.items[0]!, latestDay: 3 }, long] }, TWO] },
      'ends after day 3, the latest of item 0',
    ],
  ])('%s', (_, change, fault) => {
    expect(checkPlan({ ...problem, ...change }, draft)).toEqual([`${IT} on day 1 ${fault}`]);
  });

  test('keeps the vehicle away from its depot and from other visits', () => {
    const visits = [
      { ...BOTH, items: [1] },
      { ...BOTH, day: 2, items: [0] },
      { ...THEIRS, day: 3 },
    ];
    const open = { ...overnight, visitMinutes: Int32Array.of(100, 90, 80, 60, 100) };
    expect(
      checkPlan({ ...problem, workshops: [open] }, { visits, leftOut: [], cost: 50 + 2 + 50 + 50 + 2 }),
    ).toEqual([
      `${IT} on day 2 is while ${IT} on day 1 is not over`,
      'workshop 0 has 100 minutes of bays on day 2, the plan takes 120',
      'depot 0 can spare 1 on day 2, the plan takes 2',
    ]);
  });
});
