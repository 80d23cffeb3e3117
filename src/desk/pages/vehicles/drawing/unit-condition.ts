import type { Schemas } from '../../../api/client';
import type { Tone } from '../../../design/tone';

/** How a gas unit is, in a word and a tone; `none` where none is on record. */
export interface UnitCondition {
  tone: Tone | 'none';
  words: string;
}

type DueState = Schemas['DueItemDto']['state'];
type Forecast = Pick<Schemas['PrechargeForecastDto'], 'present' | 'limit' | 'earliestOn' | 'todayOn'>;

export const NONE_ON_RECORD: UnitCondition = { tone: 'none', words: 'none on record' };

// the worse first
const OF_DUE_STATES: readonly [DueState, UnitCondition][] = [
  ['overdue', { tone: 'bad', words: 'overdue' }],
  ['due', { tone: 'bad', words: 'due' }],
  ['due-soon', { tone: 'warn', words: 'due soon' }],
];

/**
 * The worst that is known of a gas unit that is fitted: below its limit, then what is due on it, then weak (below the
 * limit with a probability of 10 % or more). What nobody measured is unknown, whatever the calendar says.
 *
 * @param dueStates of all that is due on the unit
 * @param forecast undefined while it is being read
 */
export function unitCondition(
  dueStates: readonly DueState[],
  forecast: Forecast | null | undefined,
): UnitCondition {
  const present = forecast?.present ?? null;
  const limit = forecast?.limit.limit20BarGauge;
  if (present !== null && limit !== undefined && present.median20BarGauge < limit)
    return { tone: 'bad', words: 'below limit' };
  const due = OF_DUE_STATES.find(([state]) => dueStates.includes(state));
  if (due !== undefined) return due[1];
  if (forecast === undefined) return { tone: 'unknown', words: 'being read' };
  if (forecast === null || present === null) return { tone: 'unknown', words: 'not measured' };
  if (forecast.earliestOn !== null && forecast.earliestOn <= forecast.todayOn)
    return { tone: 'warn', words: 'weak' };
  return { tone: 'good', words: 'sound' };
}
