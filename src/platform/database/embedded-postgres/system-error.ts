export interface SystemError extends Error {
  readonly code: string | number;
  readonly stderr?: string;
}

// Not by instanceof: a test runner gives modules an Error class of their own.
export function isSystemError(error: unknown): error is SystemError {
  return typeof error === 'object' && error !== null && 'message' in error && 'code' in error;
}

export function isErrno(error: unknown, code: string): boolean {
  return isSystemError(error) && error.code === code;
}
