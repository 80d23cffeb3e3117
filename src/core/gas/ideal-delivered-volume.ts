/** Volume delivered by an ideal gas, litres, for comparison with the real gas. */
export interface IdealDeliveredVolume {
  /** Constant temperature: V0 p0 (1/p1 - 1/p2). */
  readonly isothermalL: number;
  /** Adiabatic from the precharge on, n = 1.4: V0 [(p0/p1)^(1/n) - (p0/p2)^(1/n)]. */
  readonly adiabaticL: number;
  /** Charged slowly, discharged fast, n = 1.4: V0 (p0/p2) [(p2/p1)^(1/n) - 1]. */
  readonly fastL: number;
}

/** Exponent of an ideal gas of two-atomic molecules. */
export const IDEAL_EXPONENT = 1.4;

/**
 * The textbook formulas for the volume that a gas accumulator delivers, all pressures absolute. They overstate
 * what a fast discharge of nitrogen gives at these pressures.
 *
 * @param restBarAbs p0, the pressure of the gas at its temperature with no fluid in the unit
 * @param lowBarAbs p1, not below p0
 * @param highBarAbs p2, not below p1
 */
export function idealDeliveredVolume(
  gasVolumeL: number,
  restBarAbs: number,
  lowBarAbs: number,
  highBarAbs: number,
): IdealDeliveredVolume {
  const share = (barAbs: number, exponent: number) => (restBarAbs / barAbs) ** (1 / exponent);
  return {
    isothermalL: gasVolumeL * (share(lowBarAbs, 1) - share(highBarAbs, 1)),
    adiabaticL: gasVolumeL * (share(lowBarAbs, IDEAL_EXPONENT) - share(highBarAbs, IDEAL_EXPONENT)),
    fastL: gasVolumeL * share(highBarAbs, 1) * ((highBarAbs / lowBarAbs) ** (1 / IDEAL_EXPONENT) - 1),
  };
}
