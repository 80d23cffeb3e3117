import { datedText } from '../format/dated-text';
import type { Problem } from './problem';

/** What a person at the desk can do, where the remedy of the API speaks to whoever writes a program. */
const REMEDIES: Readonly<Record<string, string>> = {
  'malformed-request': 'Check what you entered. If it stays, load the page again.',
  'authentication-required': 'Sign in again.',
  'session-not-valid': 'Sign in again.',
  forbidden: 'Ask an administrator of your organisation to do it, or to give you the role for it.',
  'request-from-elsewhere': 'Open the desk anew at its own address, and do it there.',
  'not-found': 'It may have been removed, or belong to a fleet that you do not see. Look it up again.',
  'already-exists': 'Look up the one that is there, or choose another name or key.',
  'state-conflict': 'Somebody may have gone further with it. Look at it as it is now.',
  'organisation-to-choose': 'Choose the organisation that you want to sign in to.',
  'slot-taken': 'Choose another time.',
  'request-in-progress':
    'It has been sent before and is being worked on. Wait a moment and look whether it is done.',
  'no-longer-kept': 'Load the page again.',
  'stale-version': 'Look at what it says now, and make your change again.',
  'precondition-required': 'Load the page again, and make your change again.',
  'payload-too-large': 'Send it in smaller parts, or hand it over as a file under Administration, Import.',
  'too-many-requests': 'Wait a minute, then go on.',
  'validation-failed': 'Correct the fields that are named, and send it again.',
  'internal-error': 'Try again. If it stays, give the number below to whoever runs the service.',
  unavailable: 'Try again in a moment. Nothing that you entered is lost.',
};

/** A refusal in the words of people: with what they can do about it, and with dates as they write them. */
export function forPeople(problem: Problem, locale: string): Problem {
  const dated = <Told extends { detail: string; remedy: string }>(told: Told): Told => ({
    ...told,
    detail: datedText(told.detail, locale),
    remedy: datedText(told.remedy, locale),
  });
  const remedy = REMEDIES[problem.type.split('/').at(-1) ?? ''] ?? problem.remedy;
  return {
    ...dated({ ...problem, remedy }),
    ...(problem.errors === undefined ? {} : { errors: problem.errors.map(dated) }),
  };
}
