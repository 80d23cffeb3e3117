import { useMutation } from '@tanstack/react-query';
import { useForm } from 'react-hook-form';
import { answered, api } from '../api/client';
import { ProblemError } from '../api/problem';
import { Button } from '../design/button';
import { SelectField, TextField } from '../design/field';
import { ProblemNotice } from '../design/notice';
import type { Session } from './session';

interface Credentials {
  email: string;
  password: string;
  organisationId: string;
}

interface SignInFormProps {
  /** who is expected */
  email?: string;
  onSignedIn: (session: Session) => void;
}

export function SignInForm({ email: expected = '', onSignedIn }: SignInFormProps) {
  const { register, handleSubmit } = useForm<Credentials>({
    defaultValues: { email: expected, password: '', organisationId: '' },
  });
  const signIn = useMutation({
    mutationFn: ({ email, password, organisationId }: Credentials) =>
      answered(
        api.POST('/v1/sessions', {
          body: { email, password, ...(organisationId === '' ? {} : { organisationId }) },
        }),
      ),
    onSuccess: onSignedIn,
  });
  const organisations =
    signIn.error instanceof ProblemError ? (signIn.error.problem.organisations ?? []) : [];
  return (
    <form className="stack" onSubmit={(event) => void handleSubmit((form) => signIn.mutate(form))(event)}>
      <TextField
        label="Email address"
        type="email"
        autoComplete="username"
        autoFocus={expected === ''}
        required
        {...register('email')}
      />
      <TextField
        label="Password"
        type="password"
        autoComplete="current-password"
        autoFocus={expected !== ''}
        required
        {...register('password')}
      />
      {organisations.length === 0 ? null : (
        <SelectField label="Operator" required {...register('organisationId')}>
          <option value="">Choose one</option>
          {organisations.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </SelectField>
      )}
      <ProblemNotice error={signIn.error} />
      <Button kind="main" type="submit" busy={signIn.isPending}>
        Sign in
      </Button>
      <p className="soft small">
        Password lost? Whoever administers the desk at your operator can give you a new invitation.
      </p>
    </form>
  );
}
