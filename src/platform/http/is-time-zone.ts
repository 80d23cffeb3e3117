import { applyDecorators } from '@nestjs/common';
import { ApiProperty } from '@nestjs/swagger';
import { ValidateBy, buildMessage } from 'class-validator';
import { isTimeZone } from '../../core/shared/calendar-date';

const LONGEST = 60;

/** A zone of the IANA database. */
export const IsIanaTimeZone = (): PropertyDecorator =>
  applyDecorators(
    ValidateBy({
      name: 'isIanaTimeZone',
      validator: {
        validate: (value: unknown) =>
          typeof value === 'string' && value.length <= LONGEST && isTimeZone(value),
        defaultMessage: buildMessage(
          (each) => `${each}$property must be an IANA time zone such as Europe/London`,
        ),
      },
    }),
    ApiProperty({ minLength: 1, maxLength: LONGEST }),
  );
