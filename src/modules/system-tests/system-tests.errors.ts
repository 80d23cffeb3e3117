import { CodedError, type FieldError } from '../../platform/errors/coded-error';

export function testRefused(errors: FieldError[]): CodedError {
  const [first] = errors;
  const detail = errors.length === 1 && first !== undefined ? first.detail : 'Some fields are not acceptable';
  return new CodedError('validation-failed', `${detail}.`, errors);
}

export function testKeyTaken(externalKey: string | null): CodedError {
  const detail = `There is a test with the external key "${externalKey ?? ''}" already.`;
  return new CodedError('already-exists', detail, [
    { pointer: '#/externalKey', detail, remedy: 'use another key, or void the existing record first' },
  ]);
}

export function testVoidedAlready(voidedAt: string): CodedError {
  return new CodedError('state-conflict', `This test was voided at ${voidedAt}; it counts no more.`);
}

export function testVoidedUnderThisKey(externalKey: string): FieldError {
  return {
    pointer: '#/externalKey',
    detail: `the test with the key "${externalKey}" was voided, and said something else`,
    remedy: 'give the corrected test a key of its own',
  };
}
