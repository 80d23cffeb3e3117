import { isNativeError } from 'node:util/types';

// Server gone, going or coming back, or no connection to be had in time. Class 08 is "connection exception",
// 57P01 to 57P03 are shutdowns and start-up, 53300 is "too many connections".
const CODES = new Set([
  'ECONNREFUSED',
  'ECONNRESET',
  'EPIPE',
  'ETIMEDOUT',
  'ENOTFOUND',
  '57P01',
  '57P02',
  '57P03',
  '53300',
]);
const MESSAGES = [
  /connection terminated/i,
  /timeout exceeded when trying to connect/i,
  /client has encountered a connection error/i,
];

/** True when the database could not be reached, as opposed to having refused a statement. */
export function isConnectionError(error: unknown): boolean {
  if (!isNativeError(error)) return false;
  const code = 'code' in error && typeof error.code === 'string' ? error.code : '';
  if (CODES.has(code) || code.startsWith('08')) return true;
  if (error instanceof AggregateError && error.errors.some(isConnectionError)) return true;
  return MESSAGES.some((message) => message.test(error.message));
}

/** SQLSTATE of an error that came from Postgres, through TypeORM or not. */
export function sqlStateOf(error: unknown): string | undefined {
  return isNativeError(error) && 'code' in error && typeof error.code === 'string' ? error.code : undefined;
}

/** Name of the violated constraint, where there is one. */
export function constraintOf(error: unknown): string | undefined {
  return isNativeError(error) && 'constraint' in error && typeof error.constraint === 'string'
    ? error.constraint
    : undefined;
}
