import { DueItem, Mark } from './due-item';
import { LimitReason, MeterAtBaseline, MeterProjection, OccurrenceReason, Reasoning } from './reasoning';
import { Interval, LimitKind, Tolerance } from './rule';

/** What an explanation is made from. */
export type ExplainedItem = Pick<
  DueItem,
  | 'title'
  | 'ruleCode'
  | 'position'
  | 'driver'
  | 'earlyOn'
  | 'dueOn'
  | 'lateOn'
  | 'beyondHorizon'
  | 'earliestOn'
  | 'latestOn'
  | 'missing'
  | 'marks'
  | 'reasoning'
>;

/**
 * A due item in plain sentences, one a line, with every number that it was worked out from, so that a person
 * can redo it on paper: what it is counted from, each limit, which one binds, the window, what is missing and
 * what was assumed.
 */
export function explain(item: ExplainedItem): string[] {
  const { reasoning } = item;
  const place = item.position === null ? '' : ` at ${item.position}`;
  return [
    `${item.title}${place} (rule ${item.ruleCode}).`,
    ...baselineLines(reasoning),
    ...severityLines(reasoning),
    ...(reasoning.occurrence ? occurrenceLines(reasoning.occurrence, reasoning.severity) : []),
    ...reasoning.limits.map((limit) => limitLine(limit, reasoning)),
    ...(reasoning.appliesFromOn === null
      ? []
      : [
          `The rule is for vehicles of an age that this one has from ${reasoning.appliesFromOn}: not due before.`,
        ]),
    ...conclusionLines(item),
    ...item.missing.map((each) => `Missing: ${each.sentence}`),
    ...item.marks.map((mark) => `Note: ${MARK_SENTENCES[mark]}`),
  ];
}

const NUMBERS = new Intl.NumberFormat('en-GB', { maximumFractionDigits: 3 });

/** A number as explanations write it: thousands apart, at most three decimals. */
export function formatNumber(value: number): string {
  return NUMBERS.format(value);
}

const MARK_SENTENCES: Record<Mark, string> = {
  'odometer-interpolated': 'nobody read the odometer at the baseline; it is interpolated between readings.',
  'odometer-carried-back':
    'nobody read the odometer at the baseline; it is carried back from the first reading at the present rate.',
  'odometer-assumed-0': 'the odometer at the in-service date is not recorded and taken as 0 km.',
  'odometer-contradicts-readings': 'the odometer at the baseline does not fit the readings around it.',
  'hours-interpolated':
    'nobody read the engine hours at the baseline; they are interpolated between readings.',
  'hours-carried-back':
    'nobody read the engine hours at the baseline; they are carried back from the first reading at the present rate.',
  'hours-assumed-0': 'the engine hours at the in-service date are not recorded and taken as 0.',
  'hours-contradict-readings': 'the engine hours at the baseline do not fit the readings around them.',
  'reached-before-first-reading':
    'the limit was passed before the first reading; that day is the latest it can be.',
  'duty-class-not-recorded': 'the duty class is not recorded; severity is taken as 1.',
  'position-not-recorded': 'the completion names no position and is taken as done at every one.',
  'unit-not-named':
    'the record of that work names no gas unit; it is taken as done on the one that is fitted.',
  'unit-not-recorded': 'the gas unit is not recorded; work at its position stands in for its own history.',
  'charged-when-made': 'no charge of the unit is recorded; it is taken as charged when it was made.',
};

const LIMIT_NAMES: Record<LimitKind, string> = {
  'failed-test': 'Failed test',
  condition: 'Condition',
  age: 'Age',
  time: 'Time',
  distance: 'Distance',
  hours: 'Engine hours',
};

function baselineLines({ baseline, occurrence }: Reasoning): string[] {
  if (baseline.kind === 'none') return [];
  const at = `${baseline.on}${meters(baseline.distance, baseline.hours)}`;
  switch (baseline.kind) {
    case 'completion':
      return [`${occurrence ? 'The series starts with' : 'Counted from'} "${baseline.task}", done on ${at}.`];
    case 'trigger':
      return [`Follows "${baseline.task}", done on ${at}.`];
    case 'in-service':
    case 'first-fitting': {
      const since = baseline.kind === 'in-service' ? 'the in-service date' : "the unit's first fitting";
      if (occurrence) return [`The series starts at ${since} ${at}.`];
      return [
        `Never done: counted from ${since} ${at}${baseline.firstInterval ? ', with the first interval' : ''}.`,
      ];
    }
  }
}

function meters(distance: MeterAtBaseline | null, hours: MeterAtBaseline | null): string {
  return `${distance ? meter(distance, 'km') : ''}${hours ? meter(hours, 'h') : ''}`;
}

function meter(at: MeterAtBaseline, unit: string): string {
  if (at.total === null) return `, ${unit} not known`;
  const readings = at.readings
    .map((each) => `${formatNumber(each.total)} ${unit} on ${each.on}`)
    .join(' and ');
  const sources: Record<MeterAtBaseline['source'], string> = {
    given: '',
    read: ' (as read that day)',
    interpolated: ` (interpolated between ${readings})`,
    'carried-back': ` (carried back from ${readings})`,
    'assumed-0': ' (assumed)',
    unknown: '',
  };
  return ` at ${formatNumber(at.total)} ${unit}${sources[at.source]}`;
}

function severityLines({ severity }: Reasoning): string[] {
  if (severity === null || severity.factor === 1) return [];
  return [
    `Intervals × ${formatNumber(severity.factor)} for duty class ${severity.dutyClass ?? 'not recorded'}.`,
  ];
}

function occurrenceLines(occurrence: OccurrenceReason, severity: Reasoning['severity']): string[] {
  const { number, statedFirst, statedEach, first, each, notOwed, settled } = occurrence;
  const factor = severity?.factor ?? 1;
  const scaled = (stated: Interval, after: Interval): string =>
    factor === 1 ? interval(stated) : `${interval(stated)} × ${formatNumber(factor)} (${interval(after)})`;
  const later = number === 1 ? '' : ` + ${formatNumber(number - 1)} × (${interval(each)})`;
  return [
    `Fixed cadence: the first after ${scaled(statedFirst, first)}, then every ${scaled(statedEach, each)}.`,
    ...(notOwed === 0
      ? []
      : [
          `${formatNumber(notOwed)} wholly before the first known completion, or before the age asked for: not owed.`,
        ]),
    ...settled.map(
      (one) =>
        `Occurrence ${formatNumber(one.number)}, due ${one.dueOn ?? 'on an unknown day'}, was settled on ${one.doneOn}.`,
    ),
    `Open is occurrence ${formatNumber(number)}: ${interval(first)}${later} from the start of the series.`,
  ];
}

function interval({ months, days, km, engineHours }: Interval): string {
  const parts = [
    months === null ? '' : count(months, 'month'),
    days === null || (days === 0 && months !== null) ? '' : count(days, 'day'),
    km === null ? '' : `${formatNumber(km)} km`,
    engineHours === null ? '' : `${formatNumber(engineHours)} h`,
  ];
  return parts.filter((part) => part !== '').join(', ');
}

function limitLine(limit: LimitReason, reasoning: Reasoning): string {
  const name = LIMIT_NAMES[limit.kind];
  if ('undetermined' in limit) {
    const at =
      limit.dueTotal === null
        ? ''
        : ` at ${formatNumber(limit.dueTotal)} ${unitOf(limit.kind)}, on an unknown day`;
    return `${name}: ${at === '' ? 'cannot be told' : `due${at}`} (${limit.undetermined.join(', ')}).`;
  }
  return `${name}: ${workingOf(limit, reasoning)}${windowWords(limit, reasoning.tolerance)}.`;
}

function workingOf(limit: Exclude<LimitReason, { undetermined: string[] }>, reasoning: Reasoning): string {
  const dueOn = limit.dueOn ?? 'beyond the horizon';
  switch (limit.kind) {
    case 'time': {
      if (limit.byOn !== null) return `by ${limit.byOn}`;
      const from = reasoning.baseline.kind === 'none' ? '' : reasoning.baseline.on;
      return `${from} + ${scaledTime(limit, reasoning)} = ${dueOn}`;
    }
    case 'age': {
      const since = limit.since === 'manufacture' ? 'made' : 'last charged';
      return `${since} ${limit.fromOn} + ${scaledTime({ ...limit, days: null }, reasoning)} = ${dueOn}`;
    }
    case 'failed-test':
      return `"${limit.task}" failed on ${limit.failedOn} and was not passed since: due ${dueOn}`;
    case 'condition':
      return conditionWorking(limit, dueOn);
    case 'distance':
    case 'hours':
      return meterWorking(limit, dueOn, reasoning);
  }
}

function scaledTime(
  limit: { months: number | null; days: number | null; scaledMonths: number; scaledDays: number },
  { severity, occurrence }: Reasoning,
): string {
  const used = timeWords(limit.scaledMonths, limit.scaledDays);
  if (occurrence || severity === null || severity.factor === 1) return used;
  return `${timeWords(limit.months ?? 0, limit.days ?? 0)} × ${formatNumber(severity.factor)} (${used})`;
}

function timeWords(months: number, days: number): string {
  if (months === 0) return count(days, 'day');
  return days === 0 ? count(months, 'month') : `${count(months, 'month')} + ${count(days, 'day')}`;
}

function meterWorking(
  limit: Extract<LimitReason, { projection: MeterProjection }>,
  dueOn: string,
  { severity, occurrence }: Reasoning,
): string {
  const unit = unitOf(limit.kind);
  const total = `${formatNumber(limit.dueTotal)} ${unit}`;
  const scaled =
    limit.every === null || limit.scaled === null || occurrence || severity === null || severity.factor === 1
      ? formatNumber(limit.scaled ?? 0)
      : `${formatNumber(limit.every)} × ${formatNumber(severity.factor)} (${formatNumber(limit.scaled)})`;
  const sum = limit.from === null ? `at ${total}` : `${formatNumber(limit.from)} + ${scaled} = ${total}`;
  return `${sum}; ${projectionWords(limit.projection, unit, dueOn)}${spreadWords(limit)}`;
}

function projectionWords(projection: MeterProjection, unit: string, dueOn: string): string {
  if (projection.how === 'reached') {
    const { before, after } = projection;
    const to = `${formatNumber(after.total)} ${unit} on ${after.on}`;
    return before === null
      ? `reached by ${to}, taken as ${dueOn}`
      : `reached between ${formatNumber(before.total)} ${unit} on ${before.on} and ${to}: ${dueOn}`;
  }
  const { from, left, perDay, horizonDays } = projection;
  const when = dueOn.startsWith('beyond') ? `not within ${formatNumber(horizonDays)} days` : dueOn;
  return (
    `${formatNumber(from.total)} ${unit} on ${from.on}, ${formatNumber(left)} ${unit} to go ` +
    `at ${formatNumber(perDay)} ${unit} a day: ${when}`
  );
}

function conditionWorking(limit: Extract<LimitReason, { dueAtProbability: number }>, dueOn: string): string {
  const share =
    limit.shareOfNominal === null || limit.nominal20BarGauge === null
      ? ''
      : `${formatNumber(limit.shareOfNominal)} × ${formatNumber(limit.nominal20BarGauge)} = `;
  return (
    `precharge below ${share}${formatNumber(limit.limit20BarGauge)} bar at 20 °C with a probability of ` +
    `${formatNumber(limit.dueAtProbability)}: ${dueOn}${spreadWords(limit)}`
  );
}

function spreadWords({
  dueOn,
  earliestOn,
  latestOn,
}: Extract<LimitReason, { dueOn: string | null }>): string {
  if (earliestOn === dueOn && latestOn === dueOn) return '';
  return ` (10 % by ${earliestOn ?? 'beyond the horizon'}, 90 % by ${latestOn ?? 'beyond the horizon'})`;
}

function windowWords(limit: Extract<LimitReason, { dueOn: string | null }>, tolerance: Tolerance): string {
  const { earlyOn, dueOn, lateOn } = limit;
  if (earlyOn === dueOn && (lateOn === dueOn || dueOn === null)) return '';
  const km = limit.kind === 'distance';
  const side = (days: number, distance: number): string =>
    km && distance > 0 ? `${formatNumber(distance)} km and ${count(days, 'day')}` : count(days, 'day');
  const { earlyDays, earlyKm, lateDays, lateKm } = tolerance;
  // due beyond the horizon, with a window that opens within it
  if (dueOn === null) return `; window from ${earlyOn ?? ''} (${side(earlyDays, earlyKm)} early)`;
  return (
    `; window ${earlyOn ?? ''} (${side(earlyDays, earlyKm)} early) ` +
    `to ${lateOn ?? 'beyond the horizon'} (${side(lateDays, lateKm)} late)`
  );
}

function conclusionLines(item: ExplainedItem): string[] {
  if (item.beyondHorizon) return ['Not due as far as the forecasts look.'];
  if (item.dueOn === null) return ['Cannot be told.'];
  const { whichever, limits } = item.reasoning;
  const rule = limits.length > 1 ? ` (whichever is ${whichever})` : '';
  const spread =
    item.earliestOn === item.dueOn && item.latestOn === item.dueOn
      ? ''
      : `; 10 % by ${item.earliestOn ?? 'beyond the horizon'}, 90 % by ${item.latestOn ?? 'beyond the horizon'}`;
  return [
    `Due ${item.dueOn}, driver ${item.driver ?? 'none'}${rule}${spread}.`,
    `Window ${item.earlyOn ?? ''} to ${item.lateOn ?? 'beyond the horizon'}; overdue after that.`,
  ];
}

function unitOf(kind: LimitKind): string {
  return kind === 'hours' ? 'h' : 'km';
}

function count(value: number, noun: string): string {
  return `${formatNumber(value)} ${noun}${value === 1 ? '' : 's'}`;
}
