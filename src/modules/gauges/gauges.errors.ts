import { CodedError } from '../../platform/errors/coded-error';

export function gaugeCodeTaken(code: string | undefined): CodedError {
  const detail = `There is a gauge with the code "${code ?? ''}" already.`;
  return new CodedError('already-exists', detail, [
    { pointer: '#/code', detail, remedy: 'give what is written on this gauge, or change the existing one' },
  ]);
}
