import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useEffect, useMemo, type ReactNode } from 'react';
import { useLocation } from 'wouter';
import { answered, api, onSignedOut } from '../api/client';
import { NotReached, ProblemError } from '../api/problem';
import { ProblemNotice } from '../design/notice';
import { Waiting } from '../design/page';
import { InvitationPage } from './invitation-page';
import { forgetSession, keepSession, keptSession } from './kept-session';
import { ReaderContext, readerOf, type Session } from './session';
import { SignInPage } from './sign-in-page';
import { SignedOutPage } from './signed-out-page';

const SESSION = ['session'];

/** Draws the desk for whoever is signed in, and the sign-in for everybody else. What was entered meanwhile stays. */
export function SessionGate({ children }: { children: ReactNode }) {
  const queries = useQueryClient();
  const [path, navigate] = useLocation();
  const { data: session, error } = useQuery({
    queryKey: SESSION,
    queryFn: readSession,
    staleTime: Infinity,
    // also without a connection: then whoever was signed in last goes on
    networkMode: 'always',
  });
  useEffect(() => onSignedOut(() => queries.setQueryData(SESSION, null)), [queries]);
  const reader = useMemo(() => (session ? readerOf(session) : null), [session]);

  const onSignedIn = (signedIn: Session): void => {
    queries.removeQueries({ predicate: ({ queryKey }) => queryKey[0] !== SESSION[0] });
    keepSession(localStorage, signedIn);
    queries.setQueryData(SESSION, signedIn);
    if (path === '/invitation') navigate('/', { replace: true });
  };
  if (path === '/invitation')
    return <InvitationPage invitation={location.hash.slice(1)} onSignedIn={onSignedIn} />;
  if (reader !== null) return <ReaderContext value={reader}>{children}</ReaderContext>;
  if (session === null) return <SignInPage onSignedIn={onSignedIn} />;
  return (
    <SignedOutPage title="Desk">
      {error === null ? <Waiting what="who is signed in" /> : <ProblemNotice error={error} />}
    </SignedOutPage>
  );
}

async function readSession(): Promise<Session | null> {
  try {
    const session = await answered(api.GET('/v1/session'));
    keepSession(localStorage, session);
    return session;
  } catch (error) {
    if (error instanceof ProblemError && error.status === 401) {
      forgetSession(localStorage);
      return null;
    }
    const kept = error instanceof NotReached ? keptSession(localStorage, Date.now()) : null;
    if (kept !== null) return kept;
    throw error;
  }
}
