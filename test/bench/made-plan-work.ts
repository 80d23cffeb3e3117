import { dayCostsOf, type PlanItem } from '../../src/core/downtime-plan/plan-problem';
import { type SeededRandom } from '../../src/core/shared/seeded-random';

type Range = readonly [low: number, high: number];

interface WorkKind {
  name: string;
  minutes: readonly number[];
  competence: 'hydraulics' | 'brakes';
  people: number;
  intervalDays: Range;
  /** shares of the interval */
  earlyShare: number;
  /** 0: never late */
  lateShare: number;
  /** hundredths of the currency: what the work is worth over its interval */
  value: Range;
  costPerLateDay: Range;
  /** how often it occurs beside the others */
  weight: number;
}

/** What the made-up workshops have minutes of; people are anybody, then those with a competence. */
export const MADE_RESOURCES = ['bays', 'people', 'hydraulics', 'brakes'];
const LEFT_OUT_COST = 500_000;

// lengths, intervals and weights are made up in the order of magnitude of common practice
const KINDS: readonly WorkKind[] = [
  {
    name: 'precharge test',
    minutes: [30, 45, 60],
    competence: 'hydraulics',
    people: 1,
    intervalDays: [180, 365],
    earlyShare: 0.12,
    lateShare: 0.05,
    value: [6_000, 12_000],
    costPerLateDay: [600, 1_500],
    weight: 5,
  },
  {
    name: 'recharge',
    minutes: [60, 90, 120],
    competence: 'hydraulics',
    people: 1,
    intervalDays: [365, 730],
    earlyShare: 0.08,
    lateShare: 0.03,
    value: [12_000, 25_000],
    costPerLateDay: [800, 2_000],
    weight: 3,
  },
  {
    name: 'fluid change',
    minutes: [120, 180, 240],
    competence: 'hydraulics',
    people: 1,
    intervalDays: [365, 730],
    earlyShare: 0.08,
    lateShare: 0.03,
    value: [25_000, 60_000],
    costPerLateDay: [1_000, 3_000],
    weight: 2,
  },
  {
    name: 'filter clean',
    minutes: [30, 45, 60],
    competence: 'hydraulics',
    people: 1,
    intervalDays: [180, 365],
    earlyShare: 0.12,
    lateShare: 0.05,
    value: [6_000, 10_000],
    costPerLateDay: [300, 900],
    weight: 2,
  },
  {
    name: 'low-pressure warning test',
    minutes: [30, 60, 90],
    competence: 'brakes',
    people: 2,
    intervalDays: [90, 180],
    earlyShare: 0.2,
    lateShare: 0.05,
    value: [8_000, 16_000],
    costPerLateDay: [3_000, 8_000],
    weight: 2,
  },
  {
    name: 'regulator test',
    minutes: [45, 60, 90],
    competence: 'hydraulics',
    people: 1,
    intervalDays: [180, 365],
    earlyShare: 0.12,
    lateShare: 0.05,
    value: [8_000, 20_000],
    costPerLateDay: [500, 1_500],
    weight: 2,
  },
  {
    name: 'statutory inspection',
    minutes: [60, 90, 150],
    competence: 'brakes',
    people: 1,
    intervalDays: [90, 365],
    earlyShare: 0.15,
    lateShare: 0,
    value: [12_000, 24_000],
    costPerLateDay: [0, 0],
    weight: 3,
  },
];
const WEIGHT_OF_ALL = KINDS.reduce((sum, { weight }) => sum + weight, 0);

// the second follows the first
const ORDERS: readonly Range[] = [
  [0, 1],
  [2, 5],
];
// the first settles the second
const SETTLINGS: readonly Range[] = [
  [2, 3],
  [6, 4],
];

/** Two to eight pieces of work with their windows, costs and relations. */
export function madeWorkOfVehicle(
  random: SeededRandom,
  dayCount: number,
  fleetClusters: readonly number[],
): PlanItem[] {
  // few vehicles have much to be done
  const count = 2 + Math.floor(7 * (0.4 + 0.6 * random.next()) * random.next());
  const ownCluster = random.integer(0, dayCount - 1);
  const kinds: number[] = [];
  const items: PlanItem[] = [];
  while (items.length < count) {
    const kind = pickKind(random);
    const draw = random.next();
    const cluster = draw < 0.45 ? ownCluster : draw < 0.65 ? pick(random, fleetClusters) : null;
    const due =
      cluster === null
        ? random.integer(0, dayCount - 1)
        : Math.round(cluster + random.normal() * dayCount * 0.06);
    kinds.push(kind);
    items.push(makeItem(random, KINDS[kind]!, due, dayCount));
  }
  return items.map((item, index) => ({
    ...item,
    doFirst: related(ORDERS, kinds, index, 1, 0).filter((first) => canFollow(items[first]!, item)),
    settles: related(SETTLINGS, kinds, index, 0, 1),
  }));
}

/** The first item of the vehicle that stands at the other side of a relation to this one. */
function related(
  pairs: readonly Range[],
  kinds: readonly number[],
  index: number,
  here: 0 | 1,
  there: 0 | 1,
): number[] {
  return pairs.flatMap((pair) => {
    const other = kinds.indexOf(pair[there]);
    return pair[here] === kinds[index] && kinds.indexOf(pair[here]) === index && other >= 0 ? [other] : [];
  });
}

function canFollow(first: PlanItem, second: PlanItem): boolean {
  return first.earliestDay + 7 <= second.latestDay;
}

function pickKind(random: SeededRandom): number {
  let left = random.next() * WEIGHT_OF_ALL;
  return KINDS.findIndex(({ weight }) => (left -= weight) < 0);
}

function makeItem(random: SeededRandom, kind: WorkKind, wantedDueDay: number, dayCount: number): PlanItem {
  const intervalDays = random.integer(...kind.intervalDays);
  const minutes = pick(random, kind.minutes);
  const neverLate = kind.lateShare === 0;
  // a few are overdue on the first day; what is never late has a week at least
  const overdueDays = random.next() < 0.04 && !neverLate ? random.integer(1, 15) : 0;
  const dueDay = overdueDays > 0 ? -overdueDays : clamp(wantedDueDay, neverLate ? 6 : 0, dayCount - 1);
  const earliestDay = Math.max(0, dueDay - Math.max(7, Math.round(intervalDays * kind.earlyShare)));
  const late = dueDay + Math.round(intervalDays * kind.lateShare);
  const window = {
    dueDay,
    earliestDay,
    latestDay: neverLate ? dueDay : clamp(Math.max(late, earliestDay + 9), 0, dayCount - 1),
  };
  return {
    ...window,
    minutes: [
      minutes,
      minutes * kind.people,
      ...MADE_RESOURCES.slice(2).map((name) => (name === kind.competence ? minutes : 0)),
    ],
    dayCosts: dayCostsOf(
      window,
      random.integer(...kind.value) / intervalDays,
      random.integer(...kind.costPerLateDay),
    ),
    leftOutCost: LEFT_OUT_COST,
    doFirst: [],
    settles: [],
  };
}

function clamp(value: number, low: number, high: number): number {
  return Math.min(high, Math.max(low, value));
}

export function pick<T>(random: SeededRandom, choices: readonly T[]): T {
  return choices[random.integer(0, choices.length - 1)]!;
}
