import { timingSafeEqual } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import { Transactions } from '../database/transactions';
import { CodedError } from '../errors/coded-error';
import { parseSessionToken } from './person-credentials';
import { personActor, systemPrincipal, type Principal } from './principal';
import type { Role } from './role';
import { scopesOf } from './scope';
import { SESSION_IDLE_MS, SESSION_USE_NOTED_EVERY_MS } from './session-rules';

interface SessionRow {
  person_id: string;
  name: string;
  role: Role;
  token_sha256: Buffer;
  use_is_due: boolean;
}

/** Knows who has signed in with a session. Asks every time: people's roles change, and nobody waits for that. */
@Injectable()
export class SessionVerifier {
  constructor(private readonly transactions: Transactions) {}

  /** @throws CodedError `session-not-valid` */
  async principalOf(text: string): Promise<Principal> {
    const token = parseSessionToken(text);
    if (token === null) throw sessionNotValid();
    const { organisationId, id: sessionId, secretSha256 } = token;
    const system = systemPrincipal(organisationId, 'session verification');
    const [session] = await this.transactions.readRows<SessionRow>(system, {
      sql: `SELECT s.person_id, p.name, p.role, s.token_sha256,
          s.idle_ends_at < now() + $2 * interval '1 millisecond' AS use_is_due
        FROM person_sessions s JOIN people p ON p.organisation_id = s.organisation_id AND p.id = s.person_id
        WHERE s.id = $1 AND p.state = 'active' AND s.idle_ends_at > now() AND s.ends_at > now()`,
      parameters: [sessionId, SESSION_IDLE_MS - SESSION_USE_NOTED_EVERY_MS],
    });
    if (session === undefined || !timingSafeEqual(session.token_sha256, secretSha256)) {
      throw sessionNotValid();
    }
    if (session.use_is_due) await this.noteUse(system, sessionId);
    const { person_id: personId, name, role } = session;
    return {
      organisationId,
      actorId: personId,
      sessionId,
      role,
      scopes: scopesOf(role),
      actor: personActor(name, personId),
    };
  }

  private async noteUse(system: Principal, sessionId: string): Promise<void> {
    await this.transactions.run(system, (tx) =>
      tx.query(
        `UPDATE person_sessions SET idle_ends_at = now() + $2 * interval '1 millisecond' WHERE id = $1`,
        [sessionId, SESSION_IDLE_MS],
      ),
    );
  }
}

export function sessionNotValid(): CodedError {
  return new CodedError('session-not-valid', 'This session is unknown or has ended.');
}
