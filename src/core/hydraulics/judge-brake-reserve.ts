import { judgeFindings, missingLimit, TestFinding, TestJudgement } from './judge-findings';
import { OVERDUE_GAUGE_SHARE } from './gauge-calibration';

/** A test of the brake reserve with the pump stopped. */
export interface BrakeReserve {
  /** The warning came on at this full application of the brakes; 0 where it was on before the first. */
  readonly applicationsUntilWarning: number;
  /** Stored pressure before the first application; null where nobody read it. */
  readonly startBarGauge: number | null;
}

export interface ReserveLimits {
  /** The warning may not come on within this many. */
  readonly warningNotWithinApplications: number | null;
  readonly cutInLowBar: number | null;
  readonly cutInHighBar: number | null;
}

/**
 * Judges a brake reserve test. The count starts at the cut-in pressure, the least that is stored while the pump
 * works. Started higher, it flatters: a pass then proves nothing. Started lower, a failure proves nothing.
 */
export function judgeBrakeReserve(
  { applicationsUntilWarning, startBarGauge }: BrakeReserve,
  limits: ReserveLimits,
  isGaugeOverdue: boolean,
): TestJudgement {
  const { warningNotWithinApplications: within } = limits;
  const cameOn =
    applicationsUntilWarning === 0
      ? 'The low-pressure warning was on before the first full application'
      : `The low-pressure warning came on at full application ${applicationsUntilWarning}`;
  if (within === null) return judgeFindings([missingLimit(cameOn, 'warningNotWithinApplications')]);
  const count: TestFinding =
    applicationsUntilWarning <= within
      ? { verdict: 'bad', sentence: `${cameOn}; it may not come on within ${within}.` }
      : { verdict: 'good', sentence: `${cameOn}, not within ${within}.` };
  const start = judgeStart(startBarGauge, count.verdict === 'good', limits, isGaugeOverdue);
  return judgeFindings(start.verdict === 'unknown' ? [{ ...count, verdict: 'note' }, start] : [count, start]);
}

// only a start that moves the count towards its own verdict takes the proof away
function judgeStart(
  startBarGauge: number | null,
  isGood: boolean,
  { cutInLowBar, cutInHighBar }: ReserveLimits,
  isGaugeOverdue: boolean,
): TestFinding {
  const limit = isGood ? cutInHighBar : cutInLowBar;
  if (startBarGauge === null) {
    const sentence = 'The pressure at the start is not on record; the count has to start at cut-in.';
    return { verdict: 'note', sentence };
  }
  const started = `The count started at ${startBarGauge} bar`;
  if (limit === null) {
    const sentence = `${started}; the service programme does not say where cut-in is.`;
    return { verdict: 'note', sentence };
  }
  const [side, end] = isGood ? ['above', 'at most'] : ['below', 'at least'];
  const excessBar = isGood ? startBarGauge - limit : limit - startBarGauge;
  const repeat = `this ${isGood ? 'pass' : 'failure'} proves nothing. Repeat it from cut-in`;
  if (excessBar > 0) {
    return { verdict: 'unknown', sentence: `${started}, ${side} cut-in (${limit} bar ${end}): ${repeat}.` };
  }
  // an overdue gauge may show less or more than there is
  if (isGaugeOverdue && excessBar >= -OVERDUE_GAUGE_SHARE * limit) {
    const sentence = `${started} on a gauge whose calibration is overdue, perhaps ${side} cut-in (${limit} bar ${end}): ${repeat}, with a calibrated gauge.`;
    return { verdict: 'unknown', sentence };
  }
  return { verdict: 'note', sentence: `${started}, not ${side} cut-in (${limit} bar ${end}).` };
}
