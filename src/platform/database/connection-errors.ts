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
  const code = textOf(error, 'code') ?? '';
  if (CODES.has(code) || code.startsWith('08')) return true;
  if (error instanceof AggregateError && error.errors.some(isConnectionError)) return true;
  return MESSAGES.some((message) => message.test(textOf(error, 'message') ?? ''));
}

/** SQLSTATE of an error that came from Postgres, through TypeORM or not. */
export function sqlStateOf(error: unknown): string | undefined {
  return textOf(error, 'code');
}

/** Name of the violated constraint, where there is one. */
export function constraintOf(error: unknown): string | undefined {
  return textOf(error, 'constraint');
}

// by its members and not by its class: an error of the network may come from another realm than this file
function textOf(error: unknown, member: string): string | undefined {
  if (typeof error !== 'object' || error === null) return undefined;
  const value = (error as Record<string, unknown>)[member];
  return typeof value === 'string' ? value : undefined;
}
