import type { Role } from '../../src/platform/security/role';
import { send, type Sent } from './send';
import type { TestApp } from './test-app';

/** What everybody in the tests signs in with. */
export const PASSWORD = 'three quiet herons wade';

export interface NewPerson {
  name?: string;
  email?: string;
  role?: Role;
  fleetIds?: string[] | null;
  workshopIds?: string[] | null;
}

export interface InvitedPerson {
  id: string;
  email: string;
  invitation: string;
  revision: number;
}

export interface SignedInPerson extends InvitedPerson {
  /** token of the session, which `send` takes as a key and hands over as a cookie */
  session: string;
}

let invited = 0;

export async function invitePerson(
  test: TestApp,
  administrator: string,
  {
    name = 'Wren',
    role = 'front-desk',
    email = `person-${++invited}@tarn-valley.example`,
    ...limits
  }: NewPerson,
): Promise<InvitedPerson> {
  const body = { name, email, role, ...limits };
  const { status, body: answer, text } = await send(test, 'POST', '/v1/people', { key: administrator, body });
  if (status !== 201) throw new Error(`nobody was invited: ${status} ${text}`);
  return answer as unknown as InvitedPerson;
}

export function acceptInvitation(test: TestApp, invitation: string, password = PASSWORD): Promise<Sent> {
  return send(test, 'POST', '/v1/invitation-acceptances', { body: { invitation, password } });
}

/** Somebody who has been invited and has accepted. */
export async function signedInPerson(
  test: TestApp,
  administrator: string,
  person: NewPerson = {},
): Promise<SignedInPerson> {
  const invitedPerson = await invitePerson(test, administrator, person);
  const answer = await acceptInvitation(test, invitedPerson.invitation);
  if (answer.status !== 201) throw new Error(`nobody signed in: ${answer.status} ${answer.text}`);
  return { ...invitedPerson, session: sessionIn(answer) };
}

/** The token that an answer has put into the cookie. */
export function sessionIn({ headers }: Sent): string {
  const [, token] = /^[^=]+=(ps_[\w-]+);/.exec(headers['set-cookie'] ?? '') ?? [];
  if (token === undefined) throw new Error(`no session in ${headers['set-cookie'] ?? 'no cookie'}`);
  return token;
}
