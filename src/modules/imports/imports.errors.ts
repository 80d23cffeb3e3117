import { CodedError, parameterError } from '../../platform/errors/coded-error';
import type { Role } from '../../platform/security/role';
import type { ImportKindName } from './import-kind';

export function fileTooLarge(limitBytes: number): CodedError {
  return new CodedError(
    'payload-too-large',
    `A file may have at most ${limitBytes} bytes; hand it over in parts.`,
  );
}

export function fileExpected(): CodedError {
  return parameterError(
    'Content-Type',
    'The body is not a file that can be imported.',
    'send the file as the body, with Content-Type: text/csv or application/x-ndjson',
  );
}

export function importEnded(state: string): CodedError {
  return new CodedError('state-conflict', `The import is ${state} already.`);
}

/** A file gives nobody a right that they lack for a single record of it. */
export function kindNotAllowed(kind: ImportKindName, role: Role, roles: readonly Role[]): CodedError {
  return new CodedError(
    'forbidden',
    `You have the role ${role}; a file of ${kind} takes ${roles.join(', ')}, as one of them does.`,
  );
}
