import { CodedError, type FieldError } from '../../platform/errors/coded-error';

/** @throws CodedError naming each workshop that is listed again, or is none that the caller sees */
export function refuseFaultyReach(workshopIds: readonly string[], existing: ReadonlySet<string>): void {
  const faults = workshopIds.flatMap((workshopId, index): FieldError[] => {
    const pointer = `#/workshops/${index}/workshopId`;
    if (!existing.has(workshopId))
      return [
        {
          pointer,
          detail: `There is no workshop ${workshopId}.`,
          remedy: 'give the id of a workshop that you see',
        },
      ];
    if (workshopIds.indexOf(workshopId) === index) return [];
    return [
      {
        pointer,
        detail: `The workshop ${workshopId} is in the list already.`,
        remedy: 'give each workshop once',
      },
    ];
  });
  if (faults.length > 0)
    throw new CodedError('validation-failed', faults.map(({ detail }) => detail).join(' '), faults);
}
