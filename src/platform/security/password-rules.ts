import { bodyError, type CodedError } from '../errors/coded-error';
import { GUESSED_PASSWORDS } from './guessed-passwords';
import { prepared } from './passwords';

// NIST SP 800-63B-4, section 3.1.1.2: length counts, composition does not; what is expected or common is refused.
// Characters are code points.
export const SHORTEST_PASSWORD = 10;
export const LONGEST_PASSWORD = 200;
/** so many characters have to be the person's own beside what everybody knows about them */
const OWN_CHARACTERS = 6;
/** a shorter word is no part of a password that could give it away */
const SHORTEST_WORD = 4;

/** What anybody would try first with a person. */
export interface KnownAboutPerson {
  name: string;
  email: string;
  organisationName: string;
}

/** @throws CodedError `validation-failed` for a password that would be guessed */
export function checkPassword(field: string, password: string, known: KnownAboutPerson): void {
  const length = [...prepared(password)].length;
  if (length < SHORTEST_PASSWORD || length > LONGEST_PASSWORD) {
    throw refused(field, `has ${length} characters`, `give ${SHORTEST_PASSWORD} to ${LONGEST_PASSWORD}`);
  }
  const folded = compact(password);
  if (GUESSED_PASSWORDS.has(folded) || new Set(folded).size < 3) {
    throw refused(
      field,
      'is one of those that are tried first',
      'take some words that only you put together',
    );
  }
  const own = wordsAbout(known).reduce((rest, word) => rest.replaceAll(word, ''), folded);
  if (own !== folded && own.length < OWN_CHARACTERS) {
    throw refused(
      field,
      'is little more than a name or address that others know',
      'take some words that have nothing to do with you or the organisation',
    );
  }
}

/** Longest first, since the others may be parts of it. */
function wordsAbout({ name, email, organisationName }: KnownAboutPerson): string[] {
  const words = [name, ...name.split(/\s+/), email, ...email.split('@'), organisationName, 'precharge'];
  return words
    .map(compact)
    .filter((word) => word.length >= SHORTEST_WORD)
    .toSorted((one, other) => other.length - one.length);
}

const compact = (text: string): string => prepared(text).toLowerCase().replaceAll(' ', '');

function refused(field: string, why: string, remedy: string): CodedError {
  return bodyError(`#/${field}`, `This password ${why}.`, remedy);
}
