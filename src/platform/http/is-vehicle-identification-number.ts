import { applyDecorators } from '@nestjs/common';
import { ApiProperty } from '@nestjs/swagger';
import { ValidateBy } from 'class-validator';
import { InputError } from '../../core/shared/input-error';
import { parseVehicleIdentificationNumber } from '../../core/shared/vehicle-identification-number';

/** The layout of ISO 3779; a check digit that does not match is a warning on the vehicle, not a refusal. */
export const IsVehicleIdentificationNumber = (): PropertyDecorator =>
  applyDecorators(
    ValidateBy({
      name: 'isVehicleIdentificationNumber',
      validator: {
        validate: (value: unknown) => typeof value === 'string' && fault(value) === null,
        defaultMessage: (argument) =>
          typeof argument?.value === 'string'
            ? (fault(argument.value) ?? '')
            : 'vin must be text of 17 characters',
      },
    }),
    ApiProperty({ minLength: 17, maxLength: 17 }),
  );

function fault(text: string): string | null {
  try {
    parseVehicleIdentificationNumber(text);
    return null;
  } catch (error) {
    if (error instanceof InputError) return `${error.message}: ${error.remedy}`;
    throw error;
  }
}
