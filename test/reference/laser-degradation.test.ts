import { yearsUntilBelow } from '../../src/core/precharge/crossing';
import { fitPrecharge, type PrechargeFit, readingOn } from '../../src/core/precharge/fit-precharge';
import { DAYS_PER_YEAR, logPressure } from '../../src/core/precharge/flag-observations';
import { learnPrechargeModel } from '../../src/core/precharge/learn-precharge-model';
import { defaultPrechargeModel, type PrechargeObservation } from '../../src/core/precharge/precharge-model';
import { leastSquares } from '../../src/core/shared/statistics-least-squares';
import { studentQuantile } from '../../src/core/shared/statistics-student';
import { LASER_CROSSING_HOURS, LASER_RISE_PERCENT, LASER_STEP_HOURS } from './laser-degradation';

// Real degradation paths that nothing here was made for. A laser's rise of 10 % is taken for a precharge that has
// fallen to 80 %, in proportion on the logarithm, and an hour for a day; the reading at hour 0, to which all
// later ones are related, is the charge. The lasers up to the origin are the type from which the model is learned.
const LOG_PER_PERCENT = Math.log(1 / 0.8) / 10;
const UNITS = Object.keys(LASER_RISE_PERCENT);
const ORIGINS = [1000, 1500, 2000, 2500, 3000];
const END = 4000;
const NOMINAL = 0.9;

interface Trial {
  origin: number;
  target: number;
  held: boolean;
  heldByLine: boolean;
  /** Half of the interval, and how far off the middle was, per cent rise. */
  half: number;
  miss: number;
  missOfLine: number;
}

const trials = ORIGINS.flatMap((origin) => {
  const fits = fitsAt(origin);
  return [origin + LASER_STEP_HOURS, END].flatMap((target) =>
    UNITS.map((unit): Trial => {
      const reading = readingOn(fits.get(unit)!, target);
      const actual = LASER_RISE_PERCENT[unit]![target / LASER_STEP_HOURS]!;
      const half = studentQuantile((1 + NOMINAL) / 2, reading.degreesOfFreedom) * reading.scale;
      const miss = Math.abs(logOf(actual) - reading.log);
      const line = plainLine(unit, origin).predict(target, NOMINAL);
      return {
        origin,
        target,
        held: miss <= half,
        heldByLine: Math.abs(actual - line.value) <= line.halfWidthOfValue,
        half: half / LOG_PER_PERCENT,
        miss: miss / LOG_PER_PERCENT,
        missOfLine: Math.abs(actual - line.value),
      };
    }),
  );
});
const oneStep = trials.filter(({ origin, target }) => target === origin + LASER_STEP_HOURS);
const atEnd = trials.filter(({ target }) => target === END);

beforeAll(() => {
  const lines = [
    'laser degradation, nominal 90 %: held of 15 (a plain line in brackets), mean half-width in per cent rise',
    'known until   next reading              at 4,000 h',
    ...ORIGINS.map((origin) => {
      const cell = (some: Trial[]) => {
        const here = some.filter((trial) => trial.origin === origin);
        const held = here.filter((trial) => trial.held).length;
        const byLine = here.filter((trial) => trial.heldByLine).length;
        return `${held} (${byLine}), +/- ${meanOf(here.map(({ half }) => half)).toFixed(2)}`.padEnd(26);
      };
      return `${origin} h`.padEnd(14) + cell(oneStep) + cell(atEnd);
    }),
    'all'.padEnd(14) + `${summary(oneStep).padEnd(26)}${summary(atEnd)}`,
  ];
  process.stdout.write(`\n${lines.join('\n')}\n\n`);
});

test('the plain line holds as little as R says: 62 and 46 of 75', () => {
  // R 4.2.2, predict.lm on the readings from 250 h on; shows that these data are the ones that were meant
  expect(oneStep.filter(({ heldByLine }) => heldByLine)).toHaveLength(62);
  expect(atEnd.filter(({ heldByLine }) => heldByLine)).toHaveLength(46);
});

test('one step ahead the nominal 90 % holds at least 85 %, at 4,000 h at least 80 %', () => {
  expect(shareHeld(oneStep)).toBeGreaterThanOrEqual(0.85);
  expect(shareHeld(atEnd)).toBeGreaterThanOrEqual(0.8);
});

test.each([
  ['one step ahead', oneStep, 0.85],
  ['at 4,000 h', atEnd, 0.8],
])('%s no wider than twice what would do', (_, some, share) => {
  // the same intervals, all narrowed by one factor until they hold just enough
  const factor = smallestThatHolds(
    some.map(({ miss, half }) => miss / half),
    share,
  );
  expect(factor).toBeGreaterThanOrEqual(0.5);
  // and the narrowest interval of one width for all lasers about a plain line, per origin, on average
  const narrowest = ORIGINS.map((origin) =>
    smallestThatHolds(
      some.filter((trial) => trial.origin === origin).map(({ missOfLine }) => missOfLine),
      share,
    ),
  );
  const ratio = meanOf(some.map(({ half }) => half)) / meanOf(narrowest);
  process.stdout.write(
    `half-widths: ${(1 / factor).toFixed(2)} times what would do, ` +
      `${ratio.toFixed(2)} times the narrowest about a plain line\n`,
  );
  expect(ratio).toBeLessThanOrEqual(2);
});

test('the crossings of 10 % from the readings up to 2,000 h: at least two of three', () => {
  const fits = fitsAt(2000);
  const rows = Object.entries(LASER_CROSSING_HOURS).map(([unit, hours]) => {
    const fit = fits.get(unit)!;
    const [low, high] = [crossingHours(fit, 0.05), crossingHours(fit, 0.95)];
    const held = low <= hours && hours <= high;
    process.stdout.write(
      `unit ${unit}: 90 % from ${low.toFixed(0)} to ${high.toFixed(0)} h, crossed at ${hours} h\n`,
    );
    const half = hours < crossingHours(fit, 0.5) ? 0.05 : 0.95;
    const needed =
      Math.abs(hours - crossingHours(fit, 0.5)) /
      Math.abs(crossingHours(fit, half) - crossingHours(fit, 0.5));
    return { held, needed };
  });
  expect(rows.filter(({ held }) => held).length).toBeGreaterThanOrEqual(2);
  // two of three would still hold at half the width only if the intervals were too wide
  expect(
    smallestThatHolds(
      rows.map(({ needed }) => needed),
      2 / 3,
    ),
  ).toBeGreaterThanOrEqual(0.5);
});

function fitsAt(origin: number): Map<string, PrechargeFit> {
  const records = UNITS.map((unit) => ({ unitId: unit, observations: observationsOf(unit, origin) }));
  const { model } = learnPrechargeModel(records, defaultPrechargeModel());
  return new Map(records.map(({ unitId, observations }) => [unitId, fitPrecharge(observations, model)!]));
}

function observationsOf(unit: string, until: number): PrechargeObservation[] {
  return LASER_RISE_PERCENT[unit]!.slice(0, until / LASER_STEP_HOURS + 1).map((rise, i) => ({
    id: `${unit}-${i}`,
    day: i * LASER_STEP_HOURS,
    kind: i === 0 ? 'charge' : 'precharge-test',
    precharge20BarGauge: 56 * Math.exp(-LOG_PER_PERCENT * rise) - 1.01325,
  }));
}

function logOf(rise: number): number {
  return Math.log(56) - LOG_PER_PERCENT * rise;
}

function crossingHours(fit: PrechargeFit, probability: number): number {
  const t = studentQuantile(probability, fit.decay.degreesOfFreedom);
  const limit = 56 * 0.8 - 1.01325;
  return fit.lastMeasured.day + yearsUntilBelow(fit.decay, logPressure(limit), t)! * DAYS_PER_YEAR;
}

function plainLine(unit: string, origin: number) {
  const rises = LASER_RISE_PERCENT[unit]!.slice(1, origin / LASER_STEP_HOURS + 1);
  return leastSquares(
    rises.map((_, i) => (i + 1) * LASER_STEP_HOURS),
    [...rises],
  );
}

function smallestThatHolds(needs: readonly number[], share: number): number {
  const sorted = [...needs].sort((a, b) => a - b);
  return sorted[Math.ceil(share * sorted.length - 1e-9) - 1]!;
}

function shareHeld(some: readonly Trial[]): number {
  return some.filter(({ held }) => held).length / some.length;
}

function summary(some: readonly Trial[]): string {
  const byLine = some.filter(({ heldByLine }) => heldByLine).length / some.length;
  return `${(100 * shareHeld(some)).toFixed(0)} % (${(100 * byLine).toFixed(0)} %)`;
}

function meanOf(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
