import type { UnitRole } from '../../core/hydraulics/unit-positions';
import { bodyError, CodedError } from '../../platform/errors/coded-error';

export function typeCodeTaken(code: string): CodedError {
  const detail = `There is a type of gas unit with the code "${code}" already.`;
  return new CodedError('already-exists', detail, [
    { pointer: '#/code', detail, remedy: 'use another code, or change the existing type' },
  ]);
}

export function typeKeyTaken(externalKey: string | null | undefined): CodedError {
  const detail = `There is a type of gas unit with the external key "${externalKey ?? ''}" already.`;
  return new CodedError('already-exists', detail, [
    { pointer: '#/externalKey', detail, remedy: 'use another key, or change the existing type' },
  ]);
}

export function workingRangeUpsideDown(low: number, high: number): CodedError {
  return bodyError(
    '#/workingPressureHighBarGauge',
    `The working range ends at ${high} bar, which is not above its beginning at ${low} bar.`,
    'give the lower pressure as workingPressureLowBarGauge and the higher one as workingPressureHighBarGauge',
  );
}

export function roleStillFitted(role: UnitRole, positions: readonly string[]): CodedError {
  const detail = `Units of this type are fitted as ${role} (${positions.join(', ')}).`;
  return new CodedError('state-conflict', detail, [
    { pointer: '#/roles', detail, remedy: 'keep the role, or take these units out first' },
  ]);
}
