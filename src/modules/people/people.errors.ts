import { bodyError, CodedError } from '../../platform/errors/coded-error';

/** @param existingId null where the caller does not see that person */
export function addressTaken(existingId: string | null): CodedError {
  return new CodedError(
    'already-exists',
    'Somebody in this organisation has this address already.',
    [{ pointer: '#/email', detail: 'is taken', remedy: 'give another address, or invite that person anew' }],
    existingId === null ? {} : { existingId },
  );
}

export function noTechnician(technicianId: string): CodedError {
  return bodyError(
    '#/technicianId',
    `There is no technician ${technicianId}.`,
    'give the id of a technician of a workshop that you see, or null',
  );
}

export function ownAccess(): CodedError {
  return new CodedError(
    'state-conflict',
    'Nobody changes their own role or limits, or disables themselves. Ask another administrator.',
  );
}

export function personDisabled(): CodedError {
  return new CodedError('state-conflict', 'This person is disabled. Enable them first.', [], {
    state: 'disabled',
  });
}

/** One answer for whatever was wrong, so that it tells nothing about anybody. */
export function signInRefused(): CodedError {
  return new CodedError('sign-in-refused', 'This address and this password do not open anything together.');
}

export function signInWaits(waitMs: number): CodedError {
  const minutes = Math.ceil(waitMs / 60_000);
  return new CodedError(
    'too-many-requests',
    `Too many attempts have failed. Try again in ${minutes === 1 ? 'a minute' : `${minutes} minutes`}; an administrator ` +
      'of your organisation can unlock you.',
  );
}

export function organisationToChoose(organisations: { id: string; name: string }[]): CodedError {
  return new CodedError(
    'organisation-to-choose',
    'Address and password are right in more than one organisation.',
    [],
    { organisations },
  );
}

export function invitationNotValid(): CodedError {
  return new CodedError('invitation-not-valid', 'This invitation does not open anything.');
}

export function notYourPassword(): CodedError {
  return bodyError(
    '#/currentPassword',
    'This is not your password.',
    'give the password that you signed in with',
  );
}
