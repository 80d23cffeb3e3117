import { InputError } from '../../src/core/shared/input-error';
import {
  parseVehicleIdentificationNumber,
  vinCheckDigit,
  vinWeightedSum,
} from '../../src/core/shared/vehicle-identification-number';

const LETTERS_AND_DIGITS = Array.from('ABCDEFGHJKLMNPRSTUVWXYZ0123456789');
const isAccepted = (vin: string) => parseVehicleIdentificationNumber(vin).checkDigitWarning === null;

describe('check digit of 49 CFR 565.15', () => {
  test.each([
    ['1G4AH59H45G118341', 411, '4', true, 'worked example of 49 CFR 565.15(c), table VI'],
    ['1G4AH59H45G118331', 408, '1', false, 'the same, one digit changed'],
    ['1M8GDM9AXKP042788', 351, 'X', true, 'widely used example of an encyclopedia article'],
    ['1M8GDM9A1KP042788', 351, 'X', false, 'the same, check digit changed'],
    ['11111111111111111', 89, '1', true, 'straight ones, the usual quick test'],
    ['ZZ9AA1BB3LC000001', 278, '3', true, 'synthetic, worked by hand'],
    ['ZZ9HP0T38RA123456', 459, '8', true, 'synthetic, worked by hand'],
  ])('%s: sum %i, check digit %s, right: %s (%s)', (vin, sum, digit, right) => {
    expect(vinWeightedSum(vin)).toBe(sum);
    expect(vinCheckDigit(vin)).toBe(digit);
    expect(isAccepted(vin)).toBe(right);
  });

  // the transliteration table of 49 CFR 565.15, one letter at a time: weight 8 at the first place, the
  // others zero but for what the check digit place ignores
  test.each(
    Object.entries({
      A: 1,
      B: 2,
      C: 3,
      D: 4,
      E: 5,
      F: 6,
      G: 7,
      H: 8,
      J: 1,
      K: 2,
      L: 3,
      M: 4,
      N: 5,
      P: 7,
      R: 9,
      S: 2,
      T: 3,
      U: 4,
      V: 5,
      W: 6,
      X: 7,
      Y: 8,
      Z: 9,
      0: 0,
      5: 5,
      9: 9,
    }),
  )('%s counts %i', (character, value) => {
    expect(vinWeightedSum(`${character}0000000000000000`)).toBe(8 * value);
  });

  // the weights of 49 CFR 565.15
  test.each([8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2].map((weight, index) => [index + 1, weight]))(
    'place %i weighs %i',
    (place, weight) => {
      expect(vinWeightedSum('0'.repeat(place - 1) + '1' + '0'.repeat(17 - place))).toBe(weight);
    },
  );
});

// measured by exhausting the changes of this one number; follows from the table above
describe('what the check digit lets through, on 1M8GDM9AXKP042788', () => {
  const vin = '1M8GDM9AXKP042788';

  test('39 of 512 single wrong characters outside the ninth place (7.6 %)', () => {
    const changed = Array.from(vin).flatMap((character, place) =>
      place === 8
        ? []
        : LETTERS_AND_DIGITS.filter((other) => other !== character).map(
            (other) => vin.slice(0, place) + other + vin.slice(place + 1),
          ),
    );
    expect(changed).toHaveLength(512);
    expect(changed.filter(isAccepted)).toHaveLength(39);
  });

  test('1 of 13 swaps of neighbours that do not touch the ninth place', () => {
    const swapped = Array.from(vin.slice(0, -1))
      .map((character, place) => ({ place, other: vin.charAt(place + 1), character }))
      .filter(({ place, character, other }) => place !== 7 && place !== 8 && character !== other)
      .map(({ place, character, other }) => vin.slice(0, place) + other + character + vin.slice(place + 2));
    expect(swapped).toHaveLength(13);
    expect(swapped.filter(isAccepted)).toHaveLength(1);
  });
});

describe('layout of ISO 3779', () => {
  test.each([
    ['', 'has 0 characters'],
    ['1M8GDM9AXKP04278', 'has 16 characters'],
    ['1M8GDM9AXKP0427888', 'has 18 characters'],
    ['IM8GDM9AXKP042788', 'contains "I"'],
    ['1M8GDM9AXKPO42788', 'contains "O"'],
    ['1M8GDM9AXKPQ42788', 'contains "Q"'],
    ['1M8GDM9AXKP-42788', 'contains "-"'],
    ['1M8GDM9A XKP42788', 'contains " "'],
    ['1M8GDM9ÄXKP042788', 'contains "Ä"'],
  ])('"%s" is refused: %s', (text, reason) => {
    expect(() => parseVehicleIdentificationNumber(text, 'vehicle.vin')).toThrow(InputError);
    expect(() => parseVehicleIdentificationNumber(text, 'vehicle.vin')).toThrow(
      expect.objectContaining({
        field: 'vehicle.vin',
        message: expect.stringContaining(reason) as string,
      }) as Error,
    );
  });

  test('small letters and surrounding spaces are mended', () => {
    expect(parseVehicleIdentificationNumber(' 1m8gdm9axkp042788 ')).toEqual({
      vin: '1M8GDM9AXKP042788',
      checkDigitWarning: null,
    });
  });

  test('a wrong check digit is a warning that names both characters', () => {
    expect(parseVehicleIdentificationNumber('1M8GDM9A1KP042788').checkDigitWarning).toMatch(
      /is "1".*would be "X"/,
    );
  });
});
