import { InputError } from './input-error';

/** A vehicle identification number of the right layout, with what its check digit says. */
export interface VehicleIdentificationNumber {
  /** 17 characters, upper case. */
  vin: string;
  /** Null where the ninth character is the right check digit. */
  checkDigitWarning: string | null;
}

// 49 CFR 565.15, tables III and IV
const WEIGHTS = [8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2];
const CHARACTERS = '0123456789ABCDEFGHJKLMNPRSTUVWXYZ';
const CHARACTER_VALUES = '012345678912345678123457923456789';
const CHECK_DIGIT_POSITION = 8;

/**
 * Reads a vehicle identification number: surrounding spaces are dropped, letters become capitals.
 *
 * The layout of ISO 3779 (17 digits or capital letters without I, O and Q) must hold. A wrong check digit
 * (49 CFR 565.15) is only a warning: it is mandatory in North America, and many European numbers carry none.
 *
 * @throws InputError naming `field` when the layout does not hold
 */
export function parseVehicleIdentificationNumber(text: string, field = 'vin'): VehicleIdentificationNumber {
  const vin = text.trim().toUpperCase();
  const remedy = 'give the 17 characters on the vehicle plate: digits and letters without I, O and Q';
  if (vin.length !== WEIGHTS.length)
    throw new InputError(field, `"${text}" has ${vin.length} characters instead of 17`, remedy);
  const foreign = Array.from(vin).find((character) => !CHARACTERS.includes(character));
  if (foreign !== undefined)
    throw new InputError(field, `"${text}" contains "${foreign}", which such a number never has`, remedy);
  const expected = vinCheckDigit(vin);
  const actual = vin.charAt(CHECK_DIGIT_POSITION);
  return {
    vin,
    checkDigitWarning:
      actual === expected
        ? null
        : `the ninth character is "${actual}", the check digit would be "${expected}": a typing error, or a ` +
          'number without a check digit',
  };
}

/**
 * The check digit that 49 CFR 565.15 asks for at the ninth place: the weighted sum of the characters' values
 * modulo 11, ten written as X. What stands at the ninth place does not matter.
 *
 * @param vin 17 capital letters and digits without I, O and Q
 */
export function vinCheckDigit(vin: string): string {
  const remainder = vinWeightedSum(vin) % 11;
  return remainder === 10 ? 'X' : String(remainder);
}

/**
 * The weighted sum of 49 CFR 565.15, of which the check digit is the remainder modulo 11.
 *
 * @param vin 17 capital letters and digits without I, O and Q
 */
export function vinWeightedSum(vin: string): number {
  const valueAt = (index: number) => Number(CHARACTER_VALUES.charAt(CHARACTERS.indexOf(vin.charAt(index))));
  return WEIGHTS.reduce((sum, weight, index) => sum + weight * valueAt(index), 0);
}
