import { OptionReader } from './option-reader';

/**
 * What a test is judged by, as a rule of the programme sets it for its task; null where it sets nothing, and
 * then the test cannot be judged by it. Pressures are gauge pressures.
 */
export interface TestLimits {
  /** Share of the nominal precharge below which a unit counts as weak in a stopwatch test. */
  lowestPrechargeShare: number | null;
  /** Seconds between two charges of the pump, idling and with nothing in use. */
  shortestCycleSeconds: number | null;
  highestLeakMlPerMin: number | null;
  cutInLowBar: number | null;
  cutInHighBar: number | null;
  cutOutLowBar: number | null;
  cutOutHighBar: number | null;
  /** Where the low-pressure warning has to come on. */
  warningLowBar: number | null;
  warningHighBar: number | null;
  /** Ride height that anti-sink valves may lose. */
  highestSinkMmPerHour: number | null;
  /** The low-pressure warning may not come on within this many full applications of the brakes. */
  warningNotWithinApplications: number | null;
}

const RANGES: Readonly<Record<keyof TestLimits, { min: number; max: number }>> = {
  lowestPrechargeShare: { min: 0.05, max: 1 },
  shortestCycleSeconds: { min: 1, max: 3600 },
  highestLeakMlPerMin: { min: 0.1, max: 5000 },
  cutInLowBar: { min: 1, max: 300 },
  cutInHighBar: { min: 1, max: 300 },
  cutOutLowBar: { min: 1, max: 300 },
  cutOutHighBar: { min: 1, max: 300 },
  warningLowBar: { min: 1, max: 300 },
  warningHighBar: { min: 1, max: 300 },
  highestSinkMmPerHour: { min: 0.1, max: 100 },
  warningNotWithinApplications: { min: 1, max: 50 },
};

export const TEST_LIMIT_KEYS = Object.keys(RANGES) as (keyof TestLimits)[];

export const NO_TEST_LIMITS: TestLimits = Object.freeze(
  Object.fromEntries(TEST_LIMIT_KEYS.map((key) => [key, null])) as unknown as TestLimits,
);

const PAIRS = [
  ['cutInLowBar', 'cutInHighBar'],
  ['cutOutLowBar', 'cutOutHighBar'],
  ['warningLowBar', 'warningHighBar'],
] as const;

/** The limits of a rule as people write them; null where the rule has none. */
export function readTestLimits(reader: OptionReader | null): TestLimits | null {
  if (reader === null) return null;
  const limits = { ...NO_TEST_LIMITS };
  for (const key of TEST_LIMIT_KEYS) limits[key] = reader.decimal(key, RANGES[key], 4);
  reader.refuseOthers();
  if (TEST_LIMIT_KEYS.every((key) => !reader.has(key)))
    reader.refuse('', 'no limit is given', 'give at least one, or leave testLimits out');
  for (const [low, high] of PAIRS) {
    const [from, until] = [limits[low], limits[high]];
    if (from !== null && until !== null && from >= until)
      reader.refuse(high, `${until} is not above ${low} (${from})`, `give a pressure above ${from}`);
  }
  return limits;
}
