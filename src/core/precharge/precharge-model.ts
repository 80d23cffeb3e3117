import type { EpochDay } from '../shared/calendar-date';

/** How a pressure of a gas unit comes to be known: by a test, or as that at the end of a charge. */
export const PRECHARGE_OBSERVATION_KINDS = ['precharge-test', 'charge'] as const;

export type PrechargeObservationKind = (typeof PRECHARGE_OBSERVATION_KINDS)[number];

/**
 * One known pressure of a gas unit. A `charge` is the pressure at the end of charging; it starts a new line.
 * Several on one day count in the order in which they are given: a test comes before the charge that follows
 * it.
 */
export interface PrechargeObservation {
  readonly id: string;
  readonly day: EpochDay;
  readonly kind: PrechargeObservationKind;
  /** At 20 °C; above -1.01325, so that the absolute pressure is above zero. */
  readonly precharge20BarGauge: number;
}

/** The observations of one unit. */
export interface PrechargeRecord {
  readonly unitId: string;
  readonly observations: readonly PrechargeObservation[];
}

/**
 * How units of one type lose gas and how they are read: the prior of a unit before it has a record of its own.
 * A plain object that can be stored and read back.
 *
 * The logarithm of the absolute precharge falls along a straight line from each charge on. The slope belongs
 * to the unit and outlives a recharge; readings scatter about the line, and the line itself wanders.
 */
export interface PrechargeModel {
  /**
   * Fall of the logarithm of the absolute precharge in a year, over the units of the type: 0.045 is 4.4 % a
   * year. The spread is that of a unit with the typical reading error.
   */
  readonly logLossPerYear: { readonly mean: number; readonly sd: number };
  /** Typical standard deviation of one reading's logarithm: 0.01 is 1 % of the absolute pressure. */
  readonly readingSd: number;
  /** Variance by which the line wanders in a year, as a multiple of the square of `readingSd`. */
  readonly wanderPerYear: number;
  /** How alike the units' errors are: with how many readings the typical error weighs against the unit's own. */
  readonly degreesOfFreedom: number;
  /** No unit with a whole diaphragm loses gas faster than this, on the same scale as `logLossPerYear`. */
  readonly fastestLogLossPerYear: number;
  /** What the back-test multiplies every standard deviation by; 1 without one. */
  readonly widening: number;
  /** Units that the model was learned from; 0 for a prior that was stated. */
  readonly units: number;
}

/**
 * The model of a type that nothing is known of yet. Common practice, no published source: units are recharged
 * below 80 % of nominal or after 60 months, and the two say the same at a loss of ln(1 / 0.8) / 5 = 4.5 % a
 * year; units differ by nearly half of that. A reading is good to 1 % (gauge and gas temperature), as much as
 * a line wanders in two years. A unit that loses half of its gas in a year has a torn diaphragm or a loose
 * charging screw.
 */
export function defaultPrechargeModel(): PrechargeModel {
  return {
    logLossPerYear: { mean: 0.045, sd: 0.02 },
    readingSd: 0.01,
    wanderPerYear: 0.5,
    degreesOfFreedom: 8,
    fastestLogLossPerYear: 0.7,
    widening: 1,
    units: 0,
  };
}
