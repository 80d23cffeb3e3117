import { ValidateIf } from 'class-validator';

/** The field may be left out; null is refused. */
export const MayBeAbsent = (): PropertyDecorator => ValidateIf((_, value) => value !== undefined);

/** The field may be left out, and null clears it (JSON merge patch, RFC 7396). */
export const MayBeNull = (): PropertyDecorator =>
  ValidateIf((_, value) => value !== undefined && value !== null);
