import { InputError } from '../shared/input-error';
import { type Ambient, ambientBarOf } from './ambient-pressure';
import { realDeliveredVolume } from './delivered-volume';
import {
  ADVICE_NOT_A_CERTIFICATE,
  type GasCaution,
  PLANNING_ESTIMATE,
  SUSPENSION_FOLLOWS_LOAD,
} from './gas-cautions';
import { gasChargeOf, type GasUnit, pressureSpan } from './gas-unit';
import { GAS_VALIDITY, requireAboveZero, requireTemperatureInRange } from './nitrogen-limits';

/** What stores the fluid of a brake circuit. */
export type BrakeStore = 'main-accumulator' | 'rear-brake-accumulator' | 'rear-suspension';

/** The gas units that feed a circuit, and what one full application takes from them. */
export interface BrakeCircuit {
  readonly units: readonly GasUnit[];
  readonly fullApplicationMl: number;
}

/** The brake reserve with the pump stopped. */
export interface StoredApplicationsInput extends Ambient {
  readonly cutInBarGauge: number;
  /** Where the low-pressure warning comes on. */
  readonly warningBarGauge: number;
  readonly gasTemperatureC?: number | undefined;
  /** Fed by the main accumulator. */
  readonly front: BrakeCircuit;
  /** Fed by the rear brake accumulator where one is fitted, else by the rear suspension units. */
  readonly rear: BrakeCircuit & { readonly fedBy: 'rear-brake-accumulator' | 'rear-suspension' };
}

/** What is stored for one circuit. */
export interface CircuitReserve {
  readonly fedBy: BrakeStore;
  readonly deliveredMl: number;
  /** Full applications, rounded down. */
  readonly fullApplications: number;
  /** Lowest gas temperature after the discharge, °C. */
  readonly endTemperatureC: number;
  /** A unit's precharge is above the warning pressure: it gives nothing below its precharge. */
  readonly isBottomed: boolean;
  readonly sentence: string;
}

export interface StoredApplications {
  readonly front: CircuitReserve;
  readonly rear: CircuitReserve;
  readonly method: string;
  readonly validity: string;
  readonly cautions: readonly GasCaution[];
}

const METHOD =
  'From the cut-in pressure (the least that is stored while the pump works) down to the warning pressure, at once ' +
  '(constant entropy, real gas), each circuit by itself; the volume given is divided by that of one full ' +
  'application and rounded down.';

const STORE_NAMES: Record<BrakeStore, string> = {
  'main-accumulator': 'the main accumulator',
  'rear-brake-accumulator': 'the rear brake accumulator',
  'rear-suspension': 'the rear suspension units',
};

/**
 * Full brake applications that are stored with the pump stopped: a planning estimate, no certificate. The count
 * starts at cut-in and not at cut-out. Each discharge is counted as one expansion without warming up in
 * between, which is on the safe side.
 *
 * @throws InputError naming the input: outside the range of the gas calculations, no unit in a circuit, or the
 *   warning pressure not below cut-in
 */
export function storedApplications(input: StoredApplicationsInput): StoredApplications {
  requireTemperatureInRange(input.gasTemperatureC ?? 20, 'gasTemperatureC');
  const isSuspension = input.rear.fedBy === 'rear-suspension';
  return {
    front: reserveOf('front', input.front, 'main-accumulator', input),
    rear: reserveOf('rear', input.rear, input.rear.fedBy, input),
    method: METHOD,
    validity: GAS_VALIDITY,
    cautions: [
      PLANNING_ESTIMATE,
      ...(isSuspension ? [SUSPENSION_FOLLOWS_LOAD] : []),
      ADVICE_NOT_A_CERTIFICATE,
    ],
  };
}

function reserveOf(
  name: 'front' | 'rear',
  circuit: BrakeCircuit,
  fedBy: BrakeStore,
  input: StoredApplicationsInput,
): CircuitReserve {
  requireAboveZero(circuit.fullApplicationMl, `${name}.fullApplicationMl`, 'ml');
  if (circuit.units.length === 0) {
    throw new InputError(`${name}.units`, 'no gas unit feeds this circuit', 'give at least one gas unit');
  }
  const gasTemperatureC = input.gasTemperatureC ?? 20;
  const ambientBar = ambientBarOf(input);
  const { lowBarAbs, highBarAbs } = pressureSpan(input.warningBarGauge, input.cutInBarGauge, ambientBar, [
    'warningBarGauge',
    'cutInBarGauge',
  ]);
  const given = circuit.units.map((unit, at) => {
    const charge = gasChargeOf(unit, gasTemperatureC, ambientBar, `${name}.units[${at}].`);
    return realDeliveredVolume(charge, gasTemperatureC, lowBarAbs, highBarAbs, 'warningBarGauge');
  });
  const deliveredMl = 1000 * given.reduce((sum, { fastL }) => sum + fastL, 0);
  const fullApplications = Math.floor(deliveredMl / circuit.fullApplicationMl);
  const isBottomed = given.some((one) => one.isBottomed);
  return {
    fedBy,
    deliveredMl,
    fullApplications,
    endTemperatureC: Math.min(...given.map((one) => one.fastEndTemperatureC)),
    isBottomed,
    sentence:
      `The ${name} brakes are fed by ${STORE_NAMES[fedBy]}: ${deliveredMl.toFixed(1)} ml from ` +
      `${input.cutInBarGauge} down to ${input.warningBarGauge} bar, ${circuit.fullApplicationMl} ml for a full ` +
      `application, so ${fullApplications} in full.` +
      (isBottomed ? ' A precharge above the warning pressure holds the last of it back.' : ''),
  };
}
