import type { QueryClient } from '@tanstack/react-query';
import { answered, api } from '../api/client';
import { NotReached, ProblemError } from '../api/problem';
import { forgetSession, rememberedSession, rememberSession } from './kept-session';
import type { Session } from './session';

/** Who is signed in; a session that has ended leaves the page as it is, until its person has signed in again. */
export type SessionState =
  { kind: 'nobody' } | { kind: 'open'; session: Session } | { kind: 'ended'; session: Session };

export const SESSION = ['session'];

export async function readSessionState(): Promise<SessionState> {
  try {
    const session = await answered(api.GET('/v1/session'));
    rememberSession(localStorage, session);
    return { kind: 'open', session };
  } catch (error) {
    if (error instanceof ProblemError && error.status === 401) {
      forgetSession(localStorage);
      return { kind: 'nobody' };
    }
    const remembered = error instanceof NotReached ? rememberedSession(localStorage, Date.now()) : null;
    if (remembered !== null) return { kind: 'open', session: remembered };
    throw error;
  }
}

/** The same person with other settings, or signed in again. */
export function keepSession(queries: QueryClient, session: Session): void {
  rememberSession(localStorage, session);
  const state: SessionState = { kind: 'open', session };
  queries.setQueryData(SESSION, state);
}

export function endSession(queries: QueryClient): void {
  queries.setQueryData<SessionState>(SESSION, (known) =>
    known === undefined || known.kind === 'nobody' ? known : { kind: 'ended', session: known.session },
  );
}

/** Somebody else, or nobody: nothing stays of what was read for the one before. */
export function changeReader(queries: QueryClient, next: Session | null): void {
  if (next === null) forgetSession(localStorage);
  else rememberSession(localStorage, next);
  queries.removeQueries({ predicate: ({ queryKey }) => queryKey[0] !== SESSION[0] });
  const state: SessionState = next === null ? { kind: 'nobody' } : { kind: 'open', session: next };
  queries.setQueryData(SESSION, state);
}
