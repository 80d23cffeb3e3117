import { useMutation } from '@tanstack/react-query';
import { useForm } from 'react-hook-form';
import { answered, api } from '../api/client';
import { faultText, ProblemError } from '../api/problem';
import { Button } from '../design/button';
import { TextField } from '../design/field';
import { ProblemNotice } from '../design/notice';
import type { Session } from './session';
import { SignedOutPage } from './signed-out-page';

interface InvitationPageProps {
  /** the secret of the invitation, from behind the # of the address, which no server and no log sees */
  invitation: string;
  onSignedIn: (session: Session) => void;
}

/** Where somebody who was invited, or who has lost the password, chooses one. */
export function InvitationPage({ invitation, onSignedIn }: InvitationPageProps) {
  const { register, handleSubmit } = useForm({ defaultValues: { password: '' } });
  const accept = useMutation({
    mutationFn: ({ password }: { password: string }) =>
      answered(api.POST('/v1/invitation-acceptances', { body: { invitation, password } })),
    onSuccess: onSignedIn,
  });
  const fault = accept.error instanceof ProblemError ? accept.error.at('#/password') : undefined;
  return (
    <SignedOutPage title="Choose a password">
      <form className="stack" onSubmit={(event) => void handleSubmit((form) => accept.mutate(form))(event)}>
        <TextField
          label="New password"
          type="password"
          autoComplete="new-password"
          autoFocus
          required
          minLength={10}
          maxLength={200}
          hint="10 characters or more. Several words are easier to remember than one with odd signs."
          fault={faultText(fault)}
          {...register('password')}
        />
        {fault === undefined ? <ProblemNotice error={accept.error} /> : null}
        <Button kind="main" type="submit" busy={accept.isPending}>
          Keep it and sign in
        </Button>
      </form>
    </SignedOutPage>
  );
}
