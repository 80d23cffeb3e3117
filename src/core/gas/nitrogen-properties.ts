import { criticalTerms } from './critical-terms';
import {
  CRITICAL_DENSITY_MOL_PER_DM3,
  CRITICAL_TEMPERATURE_K,
  GAS_CONSTANT_J_PER_MOL_K,
  MOLAR_MASS_G_PER_MOL,
} from './nitrogen-constants';
import {
  emptyIsotherm,
  emptyTauPowers,
  fillIsotherm,
  fillTauPowers,
  timesExponents,
} from './nitrogen-isotherm';
import { idealPressure } from './nitrogen-pressure';
import { emptyResidualEnergy, fillResidualEnergy, type ResidualEnergy } from './residual-energy';

/** Thermodynamic properties of nitrogen at one temperature and density. */
export interface NitrogenProperties {
  readonly barAbs: number;
  /** Z = p / (rho R T). */
  readonly compressibility: number;
  /** J/(mol K); zero where the reference equation has it. */
  readonly entropyJPerMolK: number;
  /** Heat capacity at constant volume, J/(mol K). */
  readonly cvJPerMolK: number;
  /** Heat capacity at constant pressure, J/(mol K). */
  readonly cpJPerMolK: number;
  readonly speedOfSoundMPerS: number;
  /** n of p V^n = constant for a small change at constant entropy. */
  readonly isentropicExponent: number;
}

/**
 * Pressure, entropy, heat capacities and speed of sound by the reference equation (source in
 * `nitrogen-isotherm.ts`; the relations are its table of derivatives of the Helmholtz energy). No range is
 * checked; not rounded.
 */
export function nitrogenProperties(temperatureK: number, densityMolPerDm3: number): NitrogenProperties {
  const delta = densityMolPerDm3 / CRITICAL_DENSITY_MOL_PER_DM3;
  const tau = CRITICAL_TEMPERATURE_K / temperatureK;
  const { plain, byTau, byTauTwice } = residualEnergies(temperatureK, delta);
  const ideal = idealEnergy(tau, delta);
  const compressibility = 1 + plain.slope;
  // (dp/d(rho)) / (R T)
  const stiffness = compressibility + plain.curvature;
  // (dp/dT) / (rho R)
  const thermal = compressibility - byTau.slope;
  const cv = -(ideal.curvatureByTau + byTauTwice.value - byTau.value);
  const cp = cv + thermal ** 2 / stiffness;
  const squared = stiffness + thermal ** 2 / cv;
  return {
    barAbs: idealPressure(temperatureK, densityMolPerDm3) * compressibility,
    compressibility,
    entropyJPerMolK: GAS_CONSTANT_J_PER_MOL_K * (ideal.byTau + byTau.value - ideal.value - plain.value),
    cvJPerMolK: GAS_CONSTANT_J_PER_MOL_K * cv,
    cpJPerMolK: GAS_CONSTANT_J_PER_MOL_K * cp,
    speedOfSoundMPerS: Math.sqrt(
      (squared * GAS_CONSTANT_J_PER_MOL_K * temperatureK * 1000) / MOLAR_MASS_G_PER_MOL,
    ),
    isentropicExponent: squared / compressibility,
  };
}

// The residual energy, and it after tau d/d(tau) once and twice.
function residualEnergies(temperatureK: number, delta: number) {
  const powers = emptyTauPowers();
  const isotherm = emptyIsotherm();
  fillTauPowers(powers, temperatureK);
  const [plain, byTau, byTauTwice] = [emptyResidualEnergy(), emptyResidualEnergy(), emptyResidualEnergy()];
  fillIsotherm(isotherm, powers);
  fillResidualEnergy(plain, isotherm, delta);
  fillIsotherm(isotherm, timesExponents(powers));
  fillResidualEnergy(byTau, isotherm, delta);
  fillIsotherm(isotherm, timesExponents(timesExponents(powers)));
  fillResidualEnergy(byTauTwice, isotherm, delta);
  for (const term of criticalTerms(temperatureK, delta)) {
    addTerm(plain, term.value, term.byDelta, term.byDeltaTwice);
    addTerm(byTau, term.value * term.byTau, term.byDelta, term.byDeltaTwice);
    addTerm(byTauTwice, term.value * term.byTauTwice, term.byDelta, term.byDeltaTwice);
  }
  return { plain, byTau, byTauTwice };
}

function addTerm(energy: ResidualEnergy, value: number, byDelta: number, byDeltaTwice: number): void {
  energy.value += value;
  energy.slope += value * byDelta;
  energy.curvature += value * byDeltaTwice;
}

// The ideal-gas part, reduced by R T; `byTau` is tau d/d(tau), `curvatureByTau` is tau² d²/d(tau)².
function idealEnergy(tau: number, delta: number) {
  const b = 26.65788 * tau;
  const vibration = 1.012941;
  const [linear, inverse, square, cube] = [0.00784163, 1.934819e-4, 1.247742e-5, 6.678326e-8];
  return {
    value:
      Math.log(delta) +
      2.5 * Math.log(tau) -
      12.76952708 -
      linear * tau -
      inverse / tau -
      square / tau ** 2 +
      cube / tau ** 3 +
      vibration * Math.log1p(-Math.exp(-b)),
    byTau:
      2.5 -
      linear * tau +
      inverse / tau +
      (2 * square) / tau ** 2 -
      (3 * cube) / tau ** 3 +
      (vibration * b) / Math.expm1(b),
    curvatureByTau:
      -2.5 -
      (2 * inverse) / tau -
      (6 * square) / tau ** 2 +
      (12 * cube) / tau ** 3 +
      // exp(b) / (exp(b) - 1)², written so that a cold gas does not overflow it
      (vibration * b ** 2) / (Math.expm1(b) * Math.expm1(-b)),
  };
}
