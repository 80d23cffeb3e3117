import { InputError } from '../../../src/core/shared/input-error';

/** The input error that a calculation stops with; anything else, and no stop at all, fails the test. */
export function refusalOf(calculate: () => unknown): InputError {
  try {
    calculate();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('the calculation answered');
}
