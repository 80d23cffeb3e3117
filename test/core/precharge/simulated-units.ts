import type { PrechargeObservation, PrechargeRecord } from '../../../src/core/precharge/precharge-model';
import { SeededRandom } from '../../../src/core/shared/seeded-random';

/** How simulated units truly are. Made up, of the size that the default model states. */
export interface TrueType {
  readonly meanLoss: number;
  readonly lossSd: number;
  readonly readingSd: number;
  /** Standard deviation of the logarithm of a unit's own reading error. */
  readonly readingSpread: number;
  /** Standard deviation by which the logarithm of the pressure wanders in a year. */
  readonly wanderSd: number;
  readonly tests: number;
  readonly rechargeEvery: number | null;
}

export interface SimulatedUnit extends PrechargeRecord {
  /** True absolute pressure's logarithm some days after the last observation. */
  readonly later: readonly { readonly days: number; readonly log: number }[];
  readonly trueLoss: number;
  readonly lastDay: number;
  /** True loss and error of a test two years after the last observation. */
  readonly laterReadingLog: number;
}

const STEP_DAYS = 28;
const LATER_STEPS = 400;
/** Days from the last observation to the test that is to be forecast. */
export const LATER_TEST_DAYS = 728;

/** Units with a charge and yearly tests, and what became of them; 0 `laterSteps` where nobody asks for that. */
export function simulateUnits(
  type: TrueType,
  count: number,
  seed: number,
  laterSteps = LATER_STEPS,
): SimulatedUnit[] {
  const random = new SeededRandom(seed);
  return Array.from({ length: count }, (_, unit) => {
    const loss = type.meanLoss + type.lossSd * random.normal();
    const readingSd = type.readingSd * Math.exp(type.readingSpread * random.normal());
    const observations: PrechargeObservation[] = [];
    let day = 18_000 + random.integer(0, 364);
    let log = Math.log(56);
    for (let i = 0; i <= type.tests; i++) {
      const isCharge = i === 0 || (type.rechargeEvery !== null && i % type.rechargeEvery === 0);
      if (i > 0) {
        const days = random.integer(250, 450);
        day += days;
        log += fall(type, loss, days, random);
      }
      if (isCharge) log = Math.log(56) + 0.01 * random.normal();
      observations.push({
        id: `${unit}-${i}`,
        day,
        kind: isCharge ? 'charge' : 'precharge-test',
        precharge20BarGauge: Math.exp(log + readingSd * random.normal()) - 1.01325,
      });
    }
    const later = [{ days: 0, log }];
    for (let step = 1; step <= laterSteps; step++) {
      log += fall(type, loss, STEP_DAYS, random);
      later.push({ days: step * STEP_DAYS, log });
    }
    const atTest = later[LATER_TEST_DAYS / STEP_DAYS] ?? { log: NaN };
    return {
      unitId: `unit-${String(unit).padStart(5, '0')}`,
      observations,
      later,
      trueLoss: loss,
      lastDay: day,
      laterReadingLog: atTest.log + readingSd * random.normal(),
    };
  });
}

/**
 * Days from the last observation until the true pressure falls below a level, straight between two steps;
 * Infinity for not in thirty years.
 */
export function trueDaysUntilBelow(unit: SimulatedUnit, logLevel: number): number {
  const after = unit.later.findIndex(({ log }) => log < logLevel);
  if (after <= 0) return after === 0 ? 0 : Infinity;
  const [from, to] = [unit.later[after - 1]!, unit.later[after]!];
  return from.days + (STEP_DAYS * (from.log - logLevel)) / (from.log - to.log);
}

function fall(type: TrueType, loss: number, days: number, random: SeededRandom): number {
  return (-loss * days) / 365.25 + type.wanderSd * Math.sqrt(days / 365.25) * random.normal();
}
