import { flagObservations } from '../../../src/core/precharge/flag-observations';
import {
  defaultPrechargeModel,
  type PrechargeObservation,
} from '../../../src/core/precharge/precharge-model';
import { simulateUnits } from './simulated-units';

const MODEL = defaultPrechargeModel();

// a charge and yearly tests, named a, b, c, ...
function yearly(...bars: number[]): PrechargeObservation[] {
  return bars.map((precharge20BarGauge, i) => ({
    id: 'abcdefgh'.charAt(i),
    day: 20_000 + 365 * i,
    kind: i === 0 ? 'charge' : 'precharge-test',
    precharge20BarGauge,
  }));
}

function agree(earlier: PrechargeObservation, later: PrechargeObservation): boolean {
  return flagObservations([earlier, later], MODEL).leftOut.length === 0;
}

// Topped up a little every year and never written down: neighbours agree, the ends do not.
test.each([[[55, 57, 59, 61]], [[50, 51.5, 53, 54.5, 56]], [[55, 55, 57, 59, 61]]])(
  'a rise in small steps is flagged: %p',
  (bars) => {
    const observations = yearly(...bars);
    observations.slice(1).forEach((later, i) => expect(agree(observations[i]!, later)).toBe(true));
    const { charges, leftOut } = flagObservations(observations, MODEL);
    expect(leftOut.length).toBeGreaterThan(0);
    expect(charges.flat().length + leftOut.length).toBe(bars.length);
  },
);

test('the sentence names a reading that is contradicted', () => {
  const { leftOut } = flagObservations(yearly(55, 57, 59, 61), MODEL);
  expect(leftOut.map(({ code, sentence }) => [code, sentence])).toEqual([
    [
      'before-unrecorded-charge',
      expect.stringMatching(/^55\.0 bar on 2024-10-04 is lower than .* \(61\.0 bar on 2027-10-04\)/),
    ],
  ]);
});

test('two tests after a charge that nobody recorded outweigh a longer past', () => {
  const { charges, leftOut } = flagObservations(yearly(50, 48.5, 47, 56, 54.5), MODEL);
  expect(charges.flat().map(({ id }) => id)).toEqual(['d', 'e']);
  expect(leftOut.map(({ id, code }) => [id, code])).toEqual([
    ['a', 'before-unrecorded-charge'],
    ['b', 'before-unrecorded-charge'],
    ['c', 'before-unrecorded-charge'],
  ]);
});

test('whatever is kept of a charge agrees in every pair, and nothing is lost', () => {
  const wild = {
    meanLoss: 0.045,
    lossSd: 0.02,
    readingSd: 0.05,
    readingSpread: 0.5,
    wanderSd: 0.02,
    tests: 7,
  };
  let flagged = 0;
  for (const { observations } of simulateUnits({ ...wild, rechargeEvery: null }, 300, 41, 0)) {
    const { charges, leftOut } = flagObservations(observations, MODEL);
    flagged += leftOut.length;
    const kept = charges.flat();
    expect([...kept, ...leftOut].map(({ id }) => id).sort()).toEqual(observations.map(({ id }) => id).sort());
    kept.forEach((later, i) =>
      kept.slice(0, i).forEach((earlier) => expect(agree(earlier, later)).toBe(true)),
    );
  }
  expect(flagged).toBeGreaterThan(100);
});
