import { CodedError, type FieldError } from '../../platform/errors/coded-error';
import type { ReplacePlanningSettingsDto } from './dto/write-planning-settings.dto';

/** @throws CodedError naming each value of a task that has one already, and amounts that contradict each other */
export function refuseFaultySettings({
  visitLossMinor,
  leftOutMinor,
  valueByTask,
}: ReplacePlanningSettingsDto): void {
  const faults: FieldError[] = valueByTask.flatMap(({ task }, index) =>
    valueByTask.findIndex((other) => other.task === task) === index
      ? []
      : [
          {
            pointer: `#/valueByTask/${index}/task`,
            detail: `The task "${task}" has a value already.`,
            remedy: 'give each task once',
          },
        ],
  );
  if (leftOutMinor <= visitLossMinor) {
    faults.push({
      pointer: '#/leftOutMinor',
      detail: `To leave an item out costs ${leftOutMinor}, no more than a visit (${visitLossMinor}): a plan would leave work undone to save the visit.`,
      remedy: 'give an amount well above visitLossMinor',
    });
  }
  if (faults.length > 0)
    throw new CodedError('validation-failed', faults.map(({ detail }) => detail).join(' '), faults);
}
