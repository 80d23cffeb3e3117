import { Transform } from 'class-transformer';

/** `state=due,overdue` and `state=due&state=overdue` both mean a list. */
export const CommaSeparated = (): PropertyDecorator =>
  Transform(({ value }: { value: unknown }) =>
    (Array.isArray(value) ? value : [value]).flatMap((part) => String(part).split(',')),
  );

/** `true` and `false`; anything else stays text and is refused by the check that follows. */
export const BooleanText = (): PropertyDecorator =>
  Transform(({ value }: { value: unknown }) => (value === 'true' ? true : value === 'false' ? false : value));

/** Decimal digits; whatever else JavaScript reads as a number (`0x10`, `1e2`, nothing) stays text and is refused. */
export const IntegerText = (): PropertyDecorator =>
  Transform(({ value }: { value: unknown }) =>
    typeof value === 'string' && /^-?\d+$/.test(value) ? Number(value) : value,
  );
