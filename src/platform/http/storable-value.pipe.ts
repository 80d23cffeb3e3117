import type { ArgumentMetadata, PipeTransform } from '@nestjs/common';
import { CodedError, bodyError, type FieldError } from '../errors/coded-error';
import { fieldPointer } from './field-pointer';

// far deeper than any request of the contract
const DEEPEST = 32;

/**
 * Refuses, before anything else looks at it, what JSON can carry and the database cannot store or the checks
 * that follow cannot walk through: the character U+0000, half a surrogate pair, a bottomless nesting, members that every
 * object has without being given them, and something else than an object where an object of fields is expected.
 */
export class StorableValuePipe implements PipeTransform {
  transform(value: unknown, { type, metatype }: ArgumentMetadata): unknown {
    if (type === 'custom' || value === undefined) return value;
    if (type === 'body' && metatype !== undefined && !isFields(value)) {
      throw bodyError(
        '#',
        'The body is not an object.',
        'send a JSON object with the fields of this request',
      );
    }
    const errors = faultsIn(value, type === 'body');
    if (errors.length > 0) throw new CodedError('validation-failed', 'Some texts cannot be stored.', errors);
    return value;
  }
}

/**
 * Refuses a bottomless nesting where a body is walked through without this pipe.
 *
 * @throws CodedError `validation-failed`
 */
export function refuseBottomless(body: unknown): void {
  const reaches = (node: unknown, depth: number): boolean =>
    typeof node === 'object' &&
    node !== null &&
    (depth > DEEPEST || Object.values(node).some((inside) => reaches(inside, depth + 1)));
  if (reaches(body, 0)) throw bodyError('#', `The body ${TOO_DEEP.detail}.`, TOO_DEEP.remedy);
}

const isFields = (value: unknown): boolean =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** The same for the fields of a record that came in otherwise. */
export function unstorableFaults(fields: object): FieldError[] {
  return faultsIn(fields, true);
}

function faultsIn(value: unknown, inBody: boolean): FieldError[] {
  const errors: FieldError[] = [];
  const visit = (node: unknown, path: readonly string[]): void => {
    if (typeof node === 'string') {
      if (!isStorable(node)) errors.push({ ...where(path, inBody), ...UNSTORABLE });
    } else if (typeof node === 'object' && node !== null) {
      if (path.length > DEEPEST) {
        errors.push({ ...where(path.slice(0, 1), inBody), ...TOO_DEEP });
        return;
      }
      for (const [name, inside] of Object.entries(node)) {
        if (name in Object.prototype) errors.push({ ...where([...path, name], inBody), ...INHERITED_NAME });
        else if (isStorable(name)) visit(inside, [...path, name]);
        else errors.push({ ...where(path, inBody), ...UNSTORABLE_NAME });
      }
    }
  };
  visit(value, []);
  return errors;
}

const isStorable = (text: string): boolean => !/\0|\p{Surrogate}/u.test(text);

const REMEDY = 'send text without the character U+0000, in well-formed Unicode';
const UNSTORABLE = { detail: 'contains a character that cannot be stored', remedy: REMEDY };
const UNSTORABLE_NAME = { detail: 'has a member whose name cannot be stored', remedy: REMEDY };
// what every object has is taken for a known field by the check for unknown ones
const INHERITED_NAME = { detail: 'is not a field of this request', remedy: 'leave it out' };
const TOO_DEEP = { detail: 'is nested too deeply', remedy: `nest at most ${DEEPEST} levels` };

function where(path: readonly string[], inBody: boolean): Pick<FieldError, 'pointer' | 'parameter'> {
  if (!inBody) return { parameter: path[0] ?? '' };
  return { pointer: fieldPointer(path) };
}
