/** A warning to be shown with a figure; `code` is stable, `text` is for people. */
export interface GasCaution {
  readonly code: string;
  readonly text: string;
}

/** With every computed figure. */
export const ADVICE_NOT_A_CERTIFICATE: GasCaution = {
  code: 'advice-not-a-certificate',
  text:
    "This software advises. The vehicle maker's manual, local law and a licensed person decide. A computed " +
    'figure is never a certificate.',
};

/** Where a unit may be charged on the strength of a figure. Source: common practice, no published source. */
export const NITROGEN_ONLY: GasCaution = {
  code: 'nitrogen-only',
  text:
    'Charge gas units with dry nitrogen only, never with oxygen or air. The figures hold for nitrogen and no ' +
    'other gas.',
};

/** Where somebody may unscrew a unit or hang a gauge on it. Source: common practice, no published source. */
export const RELEASE_PRESSURE_FIRST: GasCaution = {
  code: 'release-pressure-first',
  text:
    'Release the fluid pressure and make sure that it is gone before you open a pipe, fit a gauge or unscrew a ' +
    'unit; support the vehicle, it drops without warning.',
};

/** With a reading of precharge. Source: common practice, no published source. */
export const GAS_TEMPERATURE_SETTLED: GasCaution = {
  code: 'gas-temperature-settled',
  text:
    'The temperature meant is that of the gas: let the unit stand until gas and surroundings agree, and take ' +
    'the reading with no fluid pressure on the other side.',
};

/** With a stopwatch test. */
export const STOPWATCH_IS_NO_GAUGE: GasCaution = {
  code: 'stopwatch-is-no-gauge',
  text:
    'A precharge from a stopwatch is an estimate, as good as the pump delivery and the pressures given. A unit ' +
    'charged above the cut-in pressure looks like one that has lost gas. Confirm with a gauge on the unit.',
};

/**
 * With a count of applications. The idea of a reserve: UN Regulation No. 13, Annex 7 (from memory), which
 * judges braking performance and not a volume.
 */
export const PLANNING_ESTIMATE: GasCaution = {
  code: 'planning-estimate-no-certificate',
  text:
    'This is a planning estimate and no certificate: regulations judge how the vehicle brakes, not a volume. ' +
    'Check the low-pressure warning and the brake reserve on the vehicle before it is released.',
};

/** Where rear suspension units feed the rear brakes. Source: common practice, no published source. */
export const SUSPENSION_FOLLOWS_LOAD: GasCaution = {
  code: 'rear-suspension-pressure-follows-load',
  text:
    'The pressure in the rear suspension follows the load on the axle: below the cut-in pressure there are fewer ' +
    'applications than this, and every one of them lowers the vehicle.',
};
