import { DueInput, TaskCompletion } from '../../../src/core/due/due-input';
import { DueItem } from '../../../src/core/due/due-item';
import { dueItemsOf } from '../../../src/core/due/due-items';
import { explain, formatNumber } from '../../../src/core/due/explain';
import { normaliseProgramme } from '../../../src/core/due/normalise-programme';
import { RuleOptions, ServiceProgramme } from '../../../src/core/due/rule';
import { stateOn } from '../../../src/core/due/state';
import { expectedUnitPositions } from '../../../src/core/hydraulics/unit-positions';
import { HydraulicLayout } from '../../../src/core/hydraulics/hydraulic-layout';
import { addDays, toEpochDay } from '../../../src/core/shared/calendar-date';
import { MeterPoint } from '../../../src/core/usage/meter-track';
import { UsageForecast } from '../../../src/core/usage/usage-forecast';

export const SPLIT_LAYOUT: HydraulicLayout = {
  pumpKind: 'split',
  antiSinkValves: 'fitted',
  rearBrakeAccumulator: 'fitted',
  steeringSupply: 'own-section',
  steeringRegulator: 'integral',
  fluid: 'mineral',
  reservoirLitres: 5,
};

/** A meter that runs exactly so much a day, without any spread. */
export function steadyForecast(originOn: string, originTotal: number, ratePerDay: number): UsageForecast {
  return {
    unit: 'km',
    originDay: toEpochDay(originOn),
    originTotal,
    ratePerDay,
    spread: [{ afterDays: 0, varianceDays: 0 }],
    horizonDays: 3650,
  };
}

export function track(...points: [on: string, total: number][]): MeterPoint[] {
  return points.map(([on, total]) => ({ day: toEpochDay(on), total }));
}

let nextId = 0;
export function completion(task: string, doneOn: string, more: Partial<TaskCompletion> = {}): TaskCompletion {
  nextId += 1;
  const id = `c-${String(nextId).padStart(6, '0')}`;
  return {
    id,
    task,
    position: null,
    unitId: null,
    doneOn,
    totalKm: null,
    totalHours: null,
    outcome: 'done',
    ...more,
  };
}

export function programme(
  rules: RuleOptions[],
  severityByDutyClass: Record<string, number> = {},
): ServiceProgramme {
  const result = normaliseProgramme({ rules, severityByDutyClass });
  if (result.value === null) throw result.errors[0] as Error;
  return result.value;
}

/** A vehicle in Europe/London, exactly 80 km a day, 96,080 km on 2026-11-25. */
export function vehicle(rules: RuleOptions[], more: Partial<DueInput> = {}): DueInput {
  return {
    programme: programme(rules),
    inServiceOn: '2023-01-10',
    inServiceTotalKm: 0,
    inServiceTotalHours: 0,
    dutyClass: 'normal',
    layout: SPLIT_LAYOUT,
    odometerTrack: track(['2025-08-31', 60_000], ['2026-11-25', 96_080]),
    hoursTrack: [],
    distanceForecast: steadyForecast('2026-11-25', 96_080, 80),
    hoursForecast: null,
    completions: [],
    positions: expectedUnitPositions(more.layout ?? SPLIT_LAYOUT),
    units: [],
    ...more,
  };
}

/** The only item of a vehicle, or the one with a key, after it has passed every check that any item has to pass. */
export function itemOf(input: DueInput, key?: string): DueItem {
  const items = dueItemsOf(input);
  for (const item of items) checkItem(item);
  expect(dueItemsOf(reversed(input))).toEqual(items);
  const found = key === undefined ? items[0] : items.find((item) => item.key === key);
  if (!found) throw new Error(`no item ${key ?? ''} among ${items.map((item) => item.key).join(', ')}`);
  if (key === undefined) expect(items).toHaveLength(1);
  return found;
}

/** What holds for every due item whatsoever. */
export function checkItem(item: DueItem): void {
  expect(JSON.parse(JSON.stringify(item))).toEqual(item);
  const text = explain(item).join('\n');
  for (const number of numbersIn(item.reasoning)) expect(text).toContain(number);
  for (const { sentence } of item.missing) expect(text).toContain(sentence);
  if (item.dueOn === null) {
    expect([item.earlyOn, item.lateOn, item.driver]).toEqual([null, null, null]);
    expect(stateOn(item, '2026-11-25')).toBe(item.beyondHorizon ? 'not-due' : 'undetermined');
    if (!item.beyondHorizon) expect(item.missing).not.toEqual([]);
    return;
  }
  expect(item.beyondHorizon).toBe(false);
  expect(item.driver).not.toBeNull();
  expect(item.partial).toBe(item.missing.length > 0);
  const earlyOn = item.earlyOn!;
  const lateOn = item.lateOn ?? '9999-12-31';
  expect(earlyOn <= item.dueOn && item.dueOn <= lateOn).toBe(true);
  if (item.earliestOn !== null) expect(item.earliestOn <= item.dueOn).toBe(true);
  if (item.latestOn !== null) expect(item.dueOn <= item.latestOn).toBe(true);
  expect(stateOn(item, addDays(earlyOn, -1))).toBe('not-due');
  expect(stateOn(item, earlyOn)).toBe(earlyOn < item.dueOn ? 'due-soon' : 'due');
  if (earlyOn < item.dueOn) expect(stateOn(item, addDays(item.dueOn, -1))).toBe('due-soon');
  expect(stateOn(item, item.dueOn)).toBe('due');
  if (item.lateOn !== null) {
    expect(stateOn(item, lateOn)).toBe('due');
    expect(stateOn(item, addDays(lateOn, 1))).toBe('overdue');
  }
}

/** The same records in another order. */
export function reversed(input: DueInput): DueInput {
  return {
    ...input,
    programme: { ...input.programme, rules: [...input.programme.rules].reverse() },
    completions: [...input.completions].reverse(),
    positions: [...input.positions].reverse(),
    units: [...input.units].reverse(),
  };
}

// Left out of the text: tolerances of limits that have no date, zeros (months of a limit in days), a factor of
// 1, the horizon of a limit within it.
function numbersIn(value: unknown, name = ''): string[] {
  if (name === 'tolerance' || name === 'horizonDays') return [];
  if (typeof value === 'number')
    return value === 0 || (name === 'factor' && value === 1) ? [] : [formatNumber(value)];
  if (typeof value === 'string') return /^\d{4}-\d{2}-\d{2}$/.test(value) ? [value] : [];
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, each]) => numbersIn(each, key));
}
