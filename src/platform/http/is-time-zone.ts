import { ValidateBy, buildMessage } from 'class-validator';
import { isTimeZone } from '../../core/shared/calendar-date';

/** A zone of the IANA database. */
export const IsIanaTimeZone = (): PropertyDecorator =>
  ValidateBy({
    name: 'isIanaTimeZone',
    validator: {
      validate: (value: unknown) => typeof value === 'string' && isTimeZone(value),
      defaultMessage: buildMessage(
        (each) => `${each}$property must be an IANA time zone such as Europe/London`,
      ),
    },
  });
