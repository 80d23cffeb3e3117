/** The long value for `npm run soak`, the short one for every other run. */
export function soakOr(long: number, short: number): number {
  return process.env.SOAK === undefined ? short : long;
}
