import { assert } from '../../../core/shared/assert';

/** The value itself where it is there; a gap here is a mistake of the generator, never of its input. */
export function present<T>(value: T | undefined, what: string): T {
  assert(value !== undefined, `${what} is missing`);
  return value;
}
