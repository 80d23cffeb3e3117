import type { ErrorCode } from './error-codes';

/** What is wrong with one field: where it is, why it is refused, and what would be accepted. */
export interface FieldError {
  /** JSON pointer into the request body, as a URI fragment (`#/dutyClass`) */
  pointer?: string;
  /** name of a query parameter, path parameter or header instead */
  parameter?: string;
  detail: string;
  remedy: string;
}

/** A refusal that services throw; the problem filter turns the code into an HTTP answer. */
export class CodedError extends Error {
  constructor(
    readonly code: ErrorCode,
    readonly detail: string,
    readonly fields: readonly FieldError[] = [],
    /** further members of the problem document */
    readonly extensions: Readonly<Record<string, unknown>> = {},
  ) {
    super(detail);
    this.name = 'CodedError';
  }
}

/** The answer for an id that does not exist, or that belongs to somebody else: the two must look alike. */
export function notFound(what: string, id: string): CodedError {
  return new CodedError('not-found', `There is no ${what} ${id}.`);
}

export function bodyError(pointer: string, detail: string, remedy: string): CodedError {
  return new CodedError('validation-failed', detail, [{ pointer, detail, remedy }]);
}

export function parameterError(parameter: string, detail: string, remedy: string): CodedError {
  return new CodedError('validation-failed', detail, [{ parameter, detail, remedy }]);
}
