import { InputError } from '../shared/input-error';
import { likelyFahrenheit } from './likely-fahrenheit';

/** Range in which the calculations answer; the equation of state itself reaches much further. */
export const LOWEST_TEMPERATURE_C = -40;
export const HIGHEST_TEMPERATURE_C = 80;
export const LOWEST_BAR_ABS = 0.5;
export const HIGHEST_BAR_ABS = 250;

/** The range of every gas calculation, for people. */
export const GAS_VALIDITY =
  `Nitrogen of ${LOWEST_TEMPERATURE_C} to ${HIGHEST_TEMPERATURE_C} °C and ${LOWEST_BAR_ABS} to ` +
  `${HIGHEST_BAR_ABS} bar absolute, by the equation of state of Span, Lemmon, Jacobsen, Wagner and ` +
  'Yokozeki (2000), whose density is uncertain by 0.02 % up to 120 bar and little more above.';

/**
 * Stops on a gas temperature outside the range.
 *
 * @throws InputError naming `field` and the limit; the remedy offers the Fahrenheit reading where it fits
 */
export function requireTemperatureInRange(temperatureC: number, field: string): void {
  if (temperatureC >= LOWEST_TEMPERATURE_C && temperatureC <= HIGHEST_TEMPERATURE_C) return;
  const meantC = likelyFahrenheit(temperatureC);
  throw new InputError(
    field,
    `${temperatureC} °C is outside ${LOWEST_TEMPERATURE_C} to ${HIGHEST_TEMPERATURE_C} °C`,
    meantC === null
      ? `give the gas temperature in degrees Celsius, ${LOWEST_TEMPERATURE_C} to ${HIGHEST_TEMPERATURE_C}`
      : `if the thermometer shows Fahrenheit, ${temperatureC} °F is ${meantC.toFixed(1)} °C: give that`,
  );
}

/**
 * Stops on an absolute pressure outside the range.
 *
 * @throws InputError naming `field` and the limit
 */
export function requireBarAbsInRange(barAbs: number, field: string): void {
  if (barAbs >= LOWEST_BAR_ABS && barAbs <= HIGHEST_BAR_ABS) return;
  throw new InputError(
    field,
    barAbs < 0
      ? `the absolute pressure would be ${shown(barAbs)} bar, and no pressure is below zero`
      : `${shown(barAbs)} bar absolute is outside ${LOWEST_BAR_ABS} to ${HIGHEST_BAR_ABS} bar absolute`,
    `give a pressure in bar that is ${LOWEST_BAR_ABS} to ${HIGHEST_BAR_ABS} bar absolute; ` +
      'a gauge pressure is that less the ambient pressure',
  );
}

/**
 * Stops on a value that is not a number above zero.
 *
 * @throws InputError naming `field`
 */
export function requireAboveZero(value: number, field: string, unit: string): void {
  if (value > 0 && value < Infinity) return;
  throw new InputError(field, `${value} ${unit} is not above zero`, `give a number of ${unit} above zero`);
}

function shown(bar: number): string {
  return Number.isFinite(bar) ? String(Number(bar.toFixed(3))) : String(bar);
}
