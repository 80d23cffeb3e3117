import { normalisePrecharge } from '../../../core/gas/normalise-precharge';
import { InputError } from '../../../core/shared/input-error';

/** What a reading comes to at 20 °C, or why it cannot be told; null while something is still to be typed. */
export type At20Degrees =
  { precharge20BarGauge: number; warnings: readonly string[] } | { fault: string; remedy: string } | null;

/** Works out a reading as it is typed, by the same sums as the API. */
export function at20Degrees(pressureBarGauge: number | null, gasTemperatureC: number | null): At20Degrees {
  if (pressureBarGauge === null || gasTemperatureC === null) return null;
  try {
    const { precharge20BarGauge, warnings } = normalisePrecharge({ pressureBarGauge, gasTemperatureC });
    return { precharge20BarGauge, warnings };
  } catch (error) {
    if (error instanceof InputError) return { fault: error.message, remedy: error.remedy };
    throw error;
  }
}
