import { isCalendarDate } from '../shared/calendar-date';
import { InputError } from '../shared/input-error';

type Fields = Readonly<Record<string, unknown>>;

/** Inclusive bounds of a number. */
export interface Bounds {
  min: number;
  max: number;
}

/**
 * Reads fields of an object that somebody wrote, one by one, and collects an error for each that is wrong
 * instead of stopping at the first. A wrong field reads as its default. Fields are named by JSON pointer.
 */
export class OptionReader {
  private readonly fields: Fields;
  private readonly read = new Set<string>();

  constructor(
    value: unknown,
    private readonly pointer: string,
    readonly errors: InputError[],
  ) {
    if (isFields(value)) this.fields = value;
    else {
      this.fields = {};
      this.errors.push(
        new InputError(pointer, `${shown(value)} is not an object`, 'give an object of fields'),
      );
    }
  }

  /** Records an error of a field. */
  refuse(name: string, message: string, remedy: string): void {
    this.errors.push(new InputError(name === '' ? this.pointer : this.pathOf(name), message, remedy));
  }

  /** True where the field is given and not null. */
  has(name: string): boolean {
    return (this.fields[name] ?? null) !== null;
  }

  /** The value as it is, for the caller to check. */
  raw(name: string): unknown {
    return this.take(name);
  }

  text(name: string, maxLength: number): string | null {
    const value = this.take(name);
    if (value === null) return null;
    if (typeof value === 'string' && value.trim() !== '' && value.length <= maxLength) return value;
    this.refuse(
      name,
      `${shown(value)} is not a text of 1 to ${maxLength} characters`,
      `give a text of 1 to ${maxLength} characters`,
    );
    return null;
  }

  /** A code: lower-case letters, digits and hyphens. */
  code(name: string): string | null {
    const value = this.take(name);
    if (value === null) return null;
    if (isCode(value)) return value;
    this.refuse(name, `${shown(value)} is not a code`, CODE_REMEDY);
    return null;
  }

  requiredCode(name: string): string {
    if (!this.has(name)) this.refuse(name, `${name} is missing`, CODE_REMEDY);
    return this.code(name) ?? '';
  }

  codes(name: string): string[] | null {
    return this.listOf(name, isCode, 'codes', CODE_REMEDY);
  }

  /** A list of values out of a fixed set. */
  choices<T extends string>(name: string, allowed: readonly T[]): T[] | null {
    const isAllowed = (value: unknown): value is T => allowed.some((each) => each === value);
    return this.listOf(
      name,
      isAllowed,
      `values of ${allowed.join(', ')}`,
      `give any of ${allowed.join(', ')}`,
    );
  }

  choice<T extends string>(name: string, allowed: readonly T[], otherwise: T): T {
    const value = this.take(name);
    if (value === null) return otherwise;
    const found = allowed.find((each) => each === value);
    if (found === undefined) {
      this.refuse(
        name,
        `${shown(value)} is not one of ${allowed.join(', ')}`,
        `give one of ${allowed.join(', ')}`,
      );
    }
    return found ?? otherwise;
  }

  integer(name: string, bounds: Bounds): number | null {
    return this.bounded(name, bounds, Number.isInteger, 'a whole number');
  }

  /** A number with at most so many decimals. */
  decimal(name: string, bounds: Bounds, decimals: number): number | null {
    const scale = 10 ** decimals;
    const fits = (value: number): boolean => Math.abs(Math.round(value * scale) - value * scale) < 1e-6;
    return this.bounded(name, bounds, fits, `a number with at most ${decimals} decimals`);
  }

  flag(name: string): boolean {
    const value = this.take(name);
    if (value === null) return false;
    if (typeof value !== 'boolean')
      this.refuse(name, `${shown(value)} is not true or false`, 'give true or false');
    return value === true;
  }

  date(name: string): string | null {
    const value = this.take(name);
    if (value === null) return null;
    if (typeof value === 'string' && isCalendarDate(value) && value >= EARLIEST_ON && value <= LATEST_ON) {
      return value;
    }
    this.refuse(
      name,
      `${shown(value)} is not a calendar date from ${EARLIEST_ON} to ${LATEST_ON}`,
      'give an existing day as YYYY-MM-DD',
    );
    return null;
  }

  /** Fields of an object inside; null where it is not given. */
  inside(name: string): OptionReader | null {
    const value = this.take(name);
    return value === null ? null : new OptionReader(value, this.pathOf(name), this.errors);
  }

  /** The objects of a list inside; null where it is not given. */
  insideEach(name: string, maxLength: number): OptionReader[] | null {
    const value = this.take(name);
    if (value === null) return null;
    if (!Array.isArray(value) || value.length > maxLength) {
      this.refuse(
        name,
        `${shown(value)} is not a list of at most ${maxLength}`,
        `give a list of at most ${maxLength}`,
      );
      return null;
    }
    return value.map((each, index) => new OptionReader(each, `${this.pathOf(name)}/${index}`, this.errors));
  }

  /** Names of all fields that are given, for an object whose field names are data. */
  names(): string[] {
    return Object.keys(this.fields);
  }

  /** Refuses every field that nobody asked for. */
  refuseOthers(): void {
    for (const name of Object.keys(this.fields)) {
      if (!this.read.has(name)) this.refuse(name, `${shown(name)} is not a field here`, 'leave it out');
    }
  }

  private take(name: string): unknown {
    this.read.add(name);
    return this.fields[name] ?? null;
  }

  private listOf<T>(
    name: string,
    accepts: (value: unknown) => value is T,
    what: string,
    remedy: string,
  ): T[] | null {
    const value = this.take(name);
    if (value === null) return null;
    if (!Array.isArray(value) || value.length > MAX_LIST_LENGTH) {
      this.refuse(name, `${shown(value)} is not a list of at most ${MAX_LIST_LENGTH} ${what}`, remedy);
      return null;
    }
    const accepted: T[] = [];
    value.forEach((each: unknown, index) => {
      if (!accepts(each))
        this.refuse(`${name}/${index}`, `${shown(each)} is not one of the ${what} wanted`, remedy);
      else if (accepted.includes(each))
        this.refuse(`${name}/${index}`, `${shown(each)} is there twice`, 'name each once');
      else accepted.push(each);
    });
    return accepted;
  }

  private bounded(
    name: string,
    { min, max }: Bounds,
    fits: (value: number) => boolean,
    what: string,
  ): number | null {
    const value = this.take(name);
    if (value === null) return null;
    if (typeof value === 'number' && value >= min && value <= max && fits(value)) return value;
    this.refuse(
      name,
      `${shown(value)} is not ${what} from ${min} to ${max}`,
      `give ${what} from ${min} to ${max}`,
    );
    return null;
  }

  private pathOf(name: string): string {
    return `${this.pointer}/${name}`;
  }
}

const EARLIEST_ON = '1900-01-01';
const LATEST_ON = '2200-12-31';
const MAX_LIST_LENGTH = 100;
const CODE_REMEDY = 'give lower-case letters, digits and single hyphens, 64 characters at most';
const CODE = /^[a-z0-9]+(-[a-z0-9]+)*$/;

function isCode(value: unknown): value is string {
  return typeof value === 'string' && value.length <= 64 && CODE.test(value);
}

function isFields(value: unknown): value is Fields {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function shown(value: unknown): string {
  const text = typeof value === 'string' ? `"${value}"` : Array.isArray(value) ? 'a list' : String(value);
  return text.length > 60 ? `${text.slice(0, 57)}…` : text;
}
