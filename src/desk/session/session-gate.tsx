import { useQuery, useQueryClient } from '@tanstack/react-query';
import { Fragment, useEffect, useMemo, type ReactNode } from 'react';
import { useLocation } from 'wouter';
import { onSignedOut, writeRefusalsIn } from '../api/client';
import { Button } from '../design/button';
import { Dialog } from '../design/dialog';
import { ProblemNotice } from '../design/notice';
import { Waiting } from '../design/page';
import { InvitationPage } from './invitation-page';
import { ReaderContext, readerOf, type Session } from './session';
import { changeReader, endSession, keepSession, readSessionState, SESSION } from './session-state';
import { SignInForm } from './sign-in-form';
import { SignedOutPage } from './signed-out-page';

/** Draws the desk for whoever is signed in, and the sign-in for everybody else. */
export function SessionGate({ children }: { children: ReactNode }) {
  const queries = useQueryClient();
  const [path, navigate] = useLocation();
  const { data: state, error } = useQuery({
    queryKey: SESSION,
    queryFn: readSessionState,
    staleTime: Infinity,
    // also without a connection: then whoever was signed in last goes on
    networkMode: 'always',
  });
  useEffect(() => onSignedOut(() => endSession(queries)), [queries]);
  const known = state === undefined || state.kind === 'nobody' ? null : state.session;
  const reader = useMemo(() => (known === null ? null : readerOf(known)), [known]);

  useEffect(() => {
    if (reader !== null) writeRefusalsIn(reader.locale);
  }, [reader]);

  const onSignedIn = (session: Session): void => {
    if (session.person.id === known?.person.id) keepSession(queries, session);
    else changeReader(queries, session);
    if (path === '/invitation') navigate('/', { replace: true });
  };
  if (path === '/invitation')
    return <InvitationPage invitation={location.hash.slice(1)} onSignedIn={onSignedIn} />;
  if (reader !== null) {
    return (
      <Fragment key={reader.session.person.id}>
        <ReaderContext value={reader}>{children}</ReaderContext>
        {state?.kind === 'ended' ? (
          <SignInAgain
            email={reader.session.person.email}
            onSignedIn={onSignedIn}
            onLeave={() => changeReader(queries, null)}
          />
        ) : null}
      </Fragment>
    );
  }
  if (state !== undefined) {
    return (
      <SignedOutPage title="Sign in">
        <SignInForm onSignedIn={onSignedIn} />
      </SignedOutPage>
    );
  }
  return (
    <SignedOutPage title="Desk">
      {error === null ? <Waiting what="who is signed in" /> : <ProblemNotice error={error} />}
    </SignedOutPage>
  );
}

interface SignInAgainProps {
  email: string;
  onSignedIn: (session: Session) => void;
  onLeave: () => void;
}

/** Over the page, which keeps what was entered. */
function SignInAgain({ email, onSignedIn, onLeave }: SignInAgainProps) {
  return (
    <Dialog title="Sign in again" onClose={() => undefined}>
      <p>You have been signed out. What you entered is still here.</p>
      <SignInForm email={email} onSignedIn={onSignedIn} />
      <Button kind="quiet" onClick={onLeave}>
        Leave it and sign in as somebody else
      </Button>
    </Dialog>
  );
}
