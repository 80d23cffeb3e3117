import { applyDecorators } from '@nestjs/common';
import { ApiProperty } from '@nestjs/swagger';
import { ValidateBy, buildMessage } from 'class-validator';

// RFC 5321, section 4.5.3.1.3, less the two brackets of a path
const LONGEST = 254;
const SHORTEST = 3;

// Nobody sends mail here, so it is enough that people recognise it: something, an @, something, and no space.
const ADDRESS = /^[^\s@]+@[^\s@]+$/u;

export const isMailAddress = (text: string): boolean => text.length <= LONGEST && ADDRESS.test(text);

/** A mail address, as people write their own. */
export const IsMailAddress = (): PropertyDecorator =>
  applyDecorators(
    ValidateBy({
      name: 'isMailAddress',
      validator: {
        validate: (value: unknown) => typeof value === 'string' && isMailAddress(value),
        defaultMessage: buildMessage(
          (each) => `${each}$property must be a mail address such as wren@tarn-valley.example`,
        ),
      },
    }),
    ApiProperty({ minLength: SHORTEST, maxLength: LONGEST, example: 'wren@tarn-valley.example' }),
  );
