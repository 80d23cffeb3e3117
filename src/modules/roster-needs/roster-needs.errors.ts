import { CodedError, type FieldError } from '../../platform/errors/coded-error';
import type { RosterExceptionDto } from './dto/roster-days.dto';

/** @throws CodedError naming each exception that has no day, or a day that an earlier one has */
export function refuseFaultyExceptions(exceptions: readonly RosterExceptionDto[]): void {
  const faults = exceptions.flatMap(({ fromOn, untilOn }, index): FieldError[] => {
    if (untilOn <= fromOn)
      return [
        {
          pointer: `#/exceptions/${index}/untilOn`,
          detail: `${untilOn} is not after ${fromOn}.`,
          remedy: 'give the first day on which the need of the weekday holds again',
        },
      ];
    const earlier = exceptions
      .slice(0, index)
      .find((other) => other.fromOn < untilOn && fromOn < other.untilOn);
    if (earlier === undefined) return [];
    return [
      {
        pointer: `#/exceptions/${index}/fromOn`,
        detail: `From ${earlier.fromOn} until ${earlier.untilOn} another need is set already.`,
        remedy: 'say what is needed on a day once',
      },
    ];
  });
  if (faults.length > 0)
    throw new CodedError('validation-failed', faults.map(({ detail }) => detail).join(' '), faults);
}
