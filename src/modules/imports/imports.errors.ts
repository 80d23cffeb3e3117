import { CodedError, parameterError } from '../../platform/errors/coded-error';

export function fileTooLarge(limitBytes: number): CodedError {
  return new CodedError(
    'payload-too-large',
    `A file may have at most ${limitBytes} bytes; hand it over in parts.`,
  );
}

export function fileExpected(): CodedError {
  return parameterError(
    'Content-Type',
    'The body is not a CSV file.',
    'send the file as the body, with Content-Type: text/csv',
  );
}

export function importEnded(state: string): CodedError {
  return new CodedError('state-conflict', `The import is ${state} already.`);
}
