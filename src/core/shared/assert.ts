/**
 * Stops on a state that the program itself must never reach; not for bad input (see `input-error.ts`).
 *
 * @throws Error when `condition` is false
 */
export function assert(condition: boolean, message: string): asserts condition {
  if (!condition) throw new Error(`assertion failed: ${message}`);
}
