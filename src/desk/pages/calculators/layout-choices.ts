import {
  FITTED_ANSWERS,
  FLUID_KINDS,
  PUMP_KINDS,
  STEERING_REGULATORS,
  STEERING_SUPPLIES,
  type HydraulicLayout,
} from '../../../core/hydraulics/hydraulic-layout';
import type { CalculatorChoice, Choices } from './calculator';

const UNKNOWN = 'unverified';

const words = (value: string): string =>
  value === UNKNOWN ? 'nobody has looked' : value.replaceAll('-', ' ');

function choice(name: keyof HydraulicLayout, label: string, values: readonly string[]): CalculatorChoice {
  const known = values.filter((value) => value !== UNKNOWN);
  return { name, label, options: [UNKNOWN, ...known].map((value) => ({ value, label: words(value) })) };
}

/** The facts of a layout, each with its answers; that nobody has looked is one of them. */
export const LAYOUT_CHOICES: readonly CalculatorChoice[] = [
  choice('pumpKind', 'Pump', PUMP_KINDS),
  choice('antiSinkValves', 'Anti-sink valves', FITTED_ANSWERS),
  choice('rearBrakeAccumulator', 'Rear brake accumulator', FITTED_ANSWERS),
  choice('steeringSupply', 'Steering is fed by', STEERING_SUPPLIES),
  choice('steeringRegulator', 'Steering regulator', STEERING_REGULATORS),
  choice('fluid', 'Fluid', FLUID_KINDS),
];

/** The layout that was chosen. */
export function layoutOf(choices: Choices): HydraulicLayout {
  const chosen = Object.fromEntries(LAYOUT_CHOICES.map(({ name }) => [name, choices[name] ?? UNKNOWN]));
  // the values are those of the record: the lists above are the same ones
  return {
    ...chosen,
    fluid: chosen.fluid === UNKNOWN ? null : (chosen.fluid ?? null),
    reservoirLitres: null,
  } as HydraulicLayout;
}
