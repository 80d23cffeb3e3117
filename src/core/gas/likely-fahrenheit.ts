import { celsiusFromFahrenheit } from '../shared/units-of-measure';

// Common practice, no published source: gas at rest in a workshop is neither colder nor hotter than this.
const COLDEST_WORKSHOP_C = -10;
const HOTTEST_WORKSHOP_C = 45;

/**
 * What a temperature given as Celsius would be, had a Fahrenheit thermometer been read: only where the value
 * is too hot for a gas unit at rest in a workshop (above 45 °C) and the Fahrenheit reading is not. Below that,
 * such a slip cannot be told from a true reading.
 *
 * @returns degrees Celsius, not rounded; null where the mistake is unlikely
 */
export function likelyFahrenheit(temperatureC: number): number | null {
  if (!(temperatureC > HOTTEST_WORKSHOP_C)) return null;
  const meantC = celsiusFromFahrenheit(temperatureC);
  return meantC >= COLDEST_WORKSHOP_C && meantC <= HOTTEST_WORKSHOP_C ? meantC : null;
}
