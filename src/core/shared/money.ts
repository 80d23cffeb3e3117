/**
 * An amount in units of its currency. Amounts are whole hundredths of the currency everywhere, also of one that has no such
 * coin or has smaller ones: `12345` are `123.45`.
 */
export function inUnits(hundredths: number): string {
  return (hundredths / 100).toFixed(2);
}
