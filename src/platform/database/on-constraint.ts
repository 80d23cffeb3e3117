import type { CodedError } from '../errors/coded-error';
import { constraintOf } from './connection-errors';

/** Runs a write and turns the violation of a named constraint into the refusal that explains it. */
export async function onConstraint<T>(
  write: () => Promise<T>,
  refusals: Readonly<Record<string, () => CodedError>>,
): Promise<T> {
  try {
    return await write();
  } catch (error) {
    const refusal = refusals[constraintOf(error) ?? ''];
    throw refusal === undefined ? error : refusal();
  }
}
