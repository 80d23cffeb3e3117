import { likelyFahrenheit } from '../../core/gas/likely-fahrenheit';
import { applicableTests, type HydraulicTest } from '../../core/hydraulics/applicable-tests';
import { UNVERIFIED_LAYOUT, type LayoutFact } from '../../core/hydraulics/hydraulic-layout';
import { inspectionTasks } from '../../core/hydraulics/inspection-tasks';
import { effectiveLayout } from '../../core/hydraulics/layout-conclusions';
import { localDateAt } from '../../core/shared/calendar-date';
import { formatInstant } from '../../core/shared/instant';
import type { FieldError } from '../../platform/errors/coded-error';
import { GAUGE_FIELDS, type Measured, type SystemTestTask } from '../../core/tests/system-test';
import type { ReadGauge } from '../gauges/gauge.entity';
import type { TestedVehicle } from './recorded-test';

const COLDEST_C = -40;
const HOTTEST_C = 60;

/** Why a test cannot have been done at a moment; null where it can. */
export function momentFault(
  doneAt: number,
  now: number,
  { zone, inServiceOn }: Pick<TestedVehicle, 'zone' | 'inServiceOn'>,
): FieldError | null {
  if (doneAt > now) {
    return {
      pointer: '#/doneAt',
      detail: `${formatInstant(doneAt)} is later than now (${formatInstant(now)})`,
      remedy: 'record the test when it is done, or later',
    };
  }
  const doneOn = localDateAt(doneAt, zone);
  if (inServiceOn !== null && doneOn < inServiceOn) {
    return {
      pointer: '#/doneAt',
      detail: `the vehicle entered service on ${inServiceOn}, after ${doneOn}`,
      remedy: "correct the moment, or the vehicle's in-service date if that is wrong",
    };
  }
  return null;
}

/** Why a temperature of the surroundings is not believed; null where it is. */
export function ambientFault(ambientTemperatureC: number | null): FieldError | null {
  if (ambientTemperatureC === null) return null;
  if (ambientTemperatureC >= COLDEST_C && ambientTemperatureC <= HOTTEST_C) return null;
  const meantC = likelyFahrenheit(ambientTemperatureC);
  return {
    pointer: '#/ambientTemperatureC',
    detail: `${ambientTemperatureC} °C is outside ${COLDEST_C} to ${HOTTEST_C} °C`,
    remedy:
      meantC === null
        ? 'give the temperature of the surroundings in degrees Celsius'
        : `if the thermometer shows Fahrenheit, ${ambientTemperatureC} °F is ${meantC.toFixed(1)} °C: give that`,
  };
}

/** Why a gauge cannot have shown what was read; empty where it can. */
export function gaugeFaults(
  gaugeId: string | null,
  gauge: ReadGauge | undefined,
  measured: Measured,
  doneOn: string,
): FieldError[] {
  if (gaugeId === null) return [];
  if (gauge === undefined) {
    return [
      {
        pointer: '#/gaugeId',
        detail: `there is no gauge ${gaugeId}`,
        remedy: 'give the id of one of your gauges, or leave it out',
      },
    ];
  }
  if (gauge.retiredOn !== null && doneOn >= gauge.retiredOn) {
    return [
      {
        pointer: '#/gaugeId',
        detail: `gauge ${gauge.code} was retired on ${gauge.retiredOn}, not after ${doneOn}`,
        remedy: 'give the gauge that was used',
      },
    ];
  }
  return GAUGE_FIELDS.flatMap((field): FieldError[] => {
    const barGauge = measured[field];
    if (barGauge === undefined || barGauge <= gauge.rangeHighBarGauge) return [];
    return [
      {
        pointer: `#/${field}`,
        detail: `${barGauge} bar is above the range of gauge ${gauge.code}, ${gauge.rangeHighBarGauge} bar`,
        remedy: 'read it again, or give the gauge that was used',
      },
    ];
  });
}

const LAYOUT_TESTS: Partial<Record<SystemTestTask, { test: HydraulicTest; fact: LayoutFact; moot: string }>> =
  {
    'anti-sink-hold-test': {
      test: 'anti-sink-hold',
      fact: 'antiSinkValves',
      moot: 'Without anti-sink valves the vehicle settles overnight: that is normal here, and nothing to be tested.',
    },
    'steering-regulator-check': {
      test: 'steering-regulator-pressure',
      fact: 'steeringRegulator',
      moot: 'There is nothing to be adjusted.',
    },
  };

/** Why a vehicle's layout does not let a test be recorded; null where it does. */
export function layoutFault(task: SystemTestTask, recorded: TestedVehicle['layout']): FieldError | null {
  const ofLayout = LAYOUT_TESTS[task];
  if (ofLayout === undefined) return null;
  const layout = recorded ?? UNVERIFIED_LAYOUT;
  const answer = applicableTests(effectiveLayout(layout).layout).find(({ test }) => test === ofLayout.test);
  if (answer === undefined || answer.applicability === 'applies') return null;
  if (answer.applicability === 'does-not-apply') {
    return {
      pointer: '#/task',
      detail: `a ${task} does not apply: ${answer.because}. ${ofLayout.moot}`,
      remedy: `record no such test; if the vehicle is different, correct ${ofLayout.fact} of its hydraulic system first`,
    };
  }
  const look = inspectionTasks(layout).find(({ fact }) => fact === ofLayout.fact);
  return {
    pointer: '#/task',
    detail: `whether a ${task} applies is not known: ${answer.because}`,
    remedy:
      look === undefined
        ? `go by the maker's workshop manual and record the work as a completed task`
        : `look first: ${look.lookAt}; ${look.how}. Then record ${ofLayout.fact} of the hydraulic system`,
  };
}
