import { Transform } from 'class-transformer';

/** Serial numbers are compared as people read them: capitals, single spaces. */
export const asSerialNumber = (text: string): string => text.trim().replace(/\s+/g, ' ').toUpperCase();

export const SerialNumberText = (): PropertyDecorator =>
  Transform(({ value }: { value: unknown }) => (typeof value === 'string' ? asSerialNumber(value) : value));
