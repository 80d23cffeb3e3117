import { ValidateBy, buildMessage } from 'class-validator';
import { InputError } from '../../core/shared/input-error';
import { parseInstant } from '../../core/shared/instant';

const EARLIEST = Date.UTC(1900, 0, 1);
const LATEST = Date.UTC(2201, 0, 1);
// an instant with nanoseconds and an offset has 35 characters
const LONGEST = 40;

/** A moment as RFC 3339 with its offset, in a year that a vehicle can have seen. */
export const IsInstant = (): PropertyDecorator =>
  ValidateBy({
    name: 'isInstant',
    validator: {
      validate: isInstant,
      defaultMessage: buildMessage(
        (each) =>
          `${each}$property must be an existing moment from 1900 to 2200 with its offset, such as 2026-03-29T09:30:00+01:00`,
      ),
    },
  });

function isInstant(value: unknown): boolean {
  if (typeof value !== 'string' || value.length > LONGEST) return false;
  try {
    const instant = parseInstant(value);
    return instant >= EARLIEST && instant < LATEST;
  } catch (error) {
    if (error instanceof InputError) return false;
    throw error;
  }
}
