import { ValidateBy, buildMessage } from 'class-validator';
import { isCalendarDate } from '../../core/shared/calendar-date';

/** An existing day as `YYYY-MM-DD`, in a year that a vehicle can have seen. */
export const IsCalendarDate = (): PropertyDecorator =>
  ValidateBy({
    name: 'isCalendarDate',
    validator: {
      validate: (value: unknown) =>
        typeof value === 'string' && isCalendarDate(value) && value >= '1900-01-01' && value <= '2200-12-31',
      defaultMessage: buildMessage(
        (each) => `${each}$property must be an existing day from 1900 to 2200 as YYYY-MM-DD`,
      ),
    },
  });
