import { CodedError } from '../../platform/errors/coded-error';

export function positionCodeTaken(code: string): CodedError {
  const detail = `There is a position with the code "${code}" already.`;
  return new CodedError('already-exists', detail, [
    { pointer: '#/code', detail, remedy: 'use another code, or the existing position' },
  ]);
}

export function standardPosition(code: string): CodedError {
  const detail = `"${code}" is one of the standard positions.`;
  return new CodedError('already-exists', detail, [
    { pointer: '#/code', detail, remedy: 'use the standard position, or choose another code' },
  ]);
}

export function roleInUse(code: string): CodedError {
  const detail = `Units sat or sit at "${code}"; another role would turn their history into something else.`;
  return new CodedError('state-conflict', detail, [
    { pointer: '#/role', detail, remedy: 'add another position with the other role' },
  ]);
}

export function positionInUse(code: string): CodedError {
  return new CodedError(
    'state-conflict',
    `Units sat or sit at "${code}", or were tested there; the position stays, so that their history can be read.`,
  );
}
