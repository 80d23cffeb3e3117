import { studentQuantile } from '../shared/statistics-student';

const HUNDREDTHS = 99;
const tables = new Map<number, Float64Array>();

/**
 * Student t quantiles of the probabilities 0.01 to 0.99 in steps of 0.01: that of k / 100 stands at k - 1.
 * Worked out once for each number of degrees of freedom. Units of one type share a few of them.
 */
export function studentHundredths(degreesOfFreedom: number): Float64Array {
  let table = tables.get(degreesOfFreedom);
  if (!table) {
    table = Float64Array.from({ length: HUNDREDTHS }, (_, i) =>
      studentQuantile((i + 1) / 100, degreesOfFreedom),
    );
    // models come and go in a process that runs for months
    if (tables.size >= 1_000) tables.clear();
    tables.set(degreesOfFreedom, table);
  }
  return table;
}
