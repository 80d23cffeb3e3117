import { assert } from '../../../core/shared/assert';
import { DemoUnitTest } from './demo-gas-unit';
import { gaugePressureAt } from './gas-unit-reading';
import { groupedBy } from './grouped-by';
import { NamedRandom } from './named-random';
import { present } from './present';

/** What went wrong when a test sheet was typed in. */
export type UnitTestFault = 'mix-up' | 'fahrenheit' | 'lost-decimal-point';

/** A test that a mistake has struck, and what the file says of it. */
export interface SpoiledUnitTest {
  fault: UnitTestFault;
  test: DemoUnitTest;
  givenPressureBarGauge: string;
  givenGasTemperatureC: string;
}

const MIX_UPS = 2;
// above this, degrees Fahrenheit are beyond what any gas unit is tested at in degrees Celsius
const WARM_C = 27.5;

/**
 * Chooses the tests that mistakes strike, each on a vehicle of its own: two pairs of units whose pressures were
 * written into each other's line, one temperature in Fahrenheit, one pressure without its decimal point. Units
 * that are mixed up were tested before and after, so that the record shows it.
 */
export function spoiledUnitTests(tests: readonly DemoUnitTest[], seed: number): SpoiledUnitTest[] {
  const random = new NamedRandom(`${seed} unit test faults`);
  const eligible = random.shuffled(tests.filter(isWithinARecord));
  const struck = new Set<number>();
  const isOpen = ({ placement: { vehicle } }: DemoUnitTest): boolean =>
    vehicle !== undefined && !struck.has(vehicle.number);
  const strike = (test: DemoUnitTest): void => {
    struck.add(present(test.placement.vehicle, 'vehicle').number);
  };
  const spoiled: SpoiledUnitTest[] = [];
  const visits = groupedBy(eligible, ({ placement, day }) => `${placement.vehicle?.number ?? ''} ${day}`);
  for (const own of visits.values()) {
    if (spoiled.length === 2 * MIX_UPS) break;
    const [one] = own;
    const other = one && isOpen(one) ? own.find((each) => canBeToldApart(one, each)) : undefined;
    if (one === undefined || other === undefined) continue;
    strike(one);
    spoiled.push(mixedUp(one, other), mixedUp(other, one));
  }
  assert(spoiled.length === 2 * MIX_UPS, 'some units can be mixed up');

  const warm = eligible.find((test) => isOpen(test) && test.reading.gasTemperatureC >= WARM_C) ?? onAHotDay();
  strike(warm);
  spoiled.push({
    fault: 'fahrenheit',
    test: warm,
    givenPressureBarGauge: shownPressure(warm),
    givenGasTemperatureC: (32 + 1.8 * warm.reading.gasTemperatureC).toFixed(1),
  });
  const typed = present(
    eligible.find((test) => isOpen(test) && /^[3-9]\d\.[1-9]$/.test(shownPressure(test))),
    'pressure with a decimal',
  );
  spoiled.push({
    fault: 'lost-decimal-point',
    test: typed,
    givenPressureBarGauge: shownPressure(typed).replace('.', ''),
    givenGasTemperatureC: shownTemperature(typed),
  });
  return spoiled;

  // a fleet without a warm test had one hot day all the same
  function onAHotDay(): DemoUnitTest {
    const test = present(eligible.find(isOpen), 'test to be made warm');
    test.reading.gasTemperatureC = 30;
    test.reading.pressureBarGauge = Number(gaugePressureAt(30, test.true20BarGauge).toFixed(1));
    return test;
  }
}

/** A pressure as the test sheet has it. */
export function shownPressure({ reading }: DemoUnitTest): string {
  return reading.pressureBarGauge.toFixed(1);
}

/** A temperature as the test sheet has it. */
export function shownTemperature({ reading }: DemoUnitTest): string {
  return reading.gasTemperatureC.toFixed(1);
}

// two tests or more before it and one after it, all of the same charge
function isWithinARecord(test: DemoUnitTest): boolean {
  const { tests } = test.unit;
  const place = tests.indexOf(test);
  return (
    test.placement.vehicle !== undefined &&
    place >= 2 &&
    tests.slice(place - 1, place + 2).every(({ kind }) => kind === 'precharge-test') &&
    place + 1 < tests.length
  );
}

function canBeToldApart(one: DemoUnitTest, other: DemoUnitTest): boolean {
  const ratio = one.reading.pressureBarGauge / other.reading.pressureBarGauge;
  return Math.max(ratio, 1 / ratio) > 1.3;
}

function mixedUp(test: DemoUnitTest, other: DemoUnitTest): SpoiledUnitTest {
  return {
    fault: 'mix-up',
    test,
    givenPressureBarGauge: shownPressure(other),
    givenGasTemperatureC: shownTemperature(test),
  };
}
