import { TestLimits } from '../due/test-limits';
import { SheetUnit, StepKind } from './job-sheet';

/**
 * What a step should find, in words, with the limits in force; nothing where no limit is set.
 *
 * @param limits null where the step has no task
 */
export function expectations(
  kind: StepKind,
  task: string | null,
  unit: SheetUnit | null,
  limits: TestLimits | null,
): string[] {
  if (kind === 'precharge-test' || kind === 'charge') return ofPrecharge(kind, unit);
  return task === null || limits === null ? [] : ofTask(task, limits);
}

function ofPrecharge(kind: StepKind, unit: SheetUnit | null): string[] {
  if (unit === null) return [];
  const { serialNumber, typeName, nominal20BarGauge, limit20BarGauge } = unit;
  const which = `Unit ${serialNumber}, ${typeName}.`;
  return kind === 'charge'
    ? [which, `Charge with dry nitrogen to ${figure(nominal20BarGauge)} bar at 20 °C.`]
    : [
        which,
        `Precharge at 20 °C not below ${figure(limit20BarGauge)} bar (nominal ${figure(nominal20BarGauge)} bar).`,
      ];
}

function ofTask(task: string, limits: TestLimits): string[] {
  const range = (what: string, low: number | null, high: number | null): string[] =>
    low === null && high === null ? [] : [`${what} ${between(low, high)} bar.`];
  switch (task) {
    case 'cut-in-cut-out-reading':
      return [
        ...range('Cut-in', limits.cutInLowBar, limits.cutInHighBar),
        ...range('Cut-out', limits.cutOutLowBar, limits.cutOutHighBar),
      ];
    case 'low-pressure-warning-test':
      return range('The warning comes on', limits.warningLowBar, limits.warningHighBar);
    case 'regulator-cycle-test':
      return limits.shortestCycleSeconds === null
        ? []
        : [
            `At idle with nothing in use, ${figure(limits.shortestCycleSeconds)} s or more between two charges.`,
          ];
    case 'anti-sink-hold-test':
      return limits.highestSinkMmPerHour === null
        ? []
        : [
            `Loses no more than ${figure(limits.highestSinkMmPerHour)} mm of ride height an hour, engine off.`,
          ];
    case 'brake-reserve-test':
      return limits.warningNotWithinApplications === null
        ? []
        : [
            `Pump stopped, stored pressure at cut-in: no warning within ${figure(limits.warningNotWithinApplications)} full applications.`,
          ];
    case 'steering-regulator-check':
      return ["By the maker's workshop manual: note its figures and what was read."];
    default:
      return [];
  }
}

function between(low: number | null, high: number | null): string {
  if (low === null) return `at ${figure(high ?? 0)} at most`;
  return high === null ? `at ${figure(low)} at least` : `between ${figure(low)} and ${figure(high)}`;
}

function figure(value: number): string {
  return String(Number(value.toFixed(1)));
}
