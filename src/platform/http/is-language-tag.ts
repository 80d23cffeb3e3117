import { applyDecorators } from '@nestjs/common';
import { ApiProperty } from '@nestjs/swagger';
import { ValidateBy, buildMessage } from 'class-validator';

const LONGEST = 35;

/** A language tag (BCP 47, RFC 5646) that is well-formed; 35 characters are the most that section 4.4.1 asks room for. */
export const IsLanguageTag = (): PropertyDecorator =>
  applyDecorators(
    ValidateBy({
      name: 'isLanguageTag',
      validator: {
        validate: (value: unknown) => typeof value === 'string' && isLanguageTag(value),
        defaultMessage: buildMessage((each) => `${each}$property must be a language tag such as en-GB`),
      },
    }),
    ApiProperty({ required: false, type: String, nullable: true, minLength: 2, maxLength: LONGEST }),
  );

function isLanguageTag(text: string): boolean {
  if (text.length > LONGEST) return false;
  try {
    return Intl.getCanonicalLocales(text).length === 1;
  } catch (error) {
    // the only way to be told that a tag is not well-formed
    if (error instanceof RangeError) return false;
    throw error;
  }
}
