import { Injectable } from '@nestjs/common';
import type { Statement, Tx } from '../../platform/database/transactions';
import type { Role } from '../../platform/security/role';
import {
  MOST_SESSIONS,
  SESSION_IDLE_MS,
  SESSION_LASTS_AT_MOST_MS,
} from '../../platform/security/session-rules';
import { NETWORK_KNOWN_FOR_DAYS } from '../../platform/security/sign-in-waits';
import type { DistanceUnit, PressureUnit } from '../../platform/units/shown-units';

/** A session with whose it is. */
export interface SessionRow {
  id: string;
  name: string;
  email: string;
  role: Role;
  fleetIds: string[] | null;
  workshopIds: string[] | null;
  technicianId: string | null;
  locale: string | null;
  distanceUnit: DistanceUnit | null;
  pressureUnit: PressureUnit | null;
  idleEndsAt: Date;
  endsAt: Date;
  organisation: { id: string; name: string; distanceUnit: DistanceUnit; pressureUnit: PressureUnit };
}

/** What signing in has to know of a person. */
export interface Account {
  organisationId: string;
  organisationName: string;
  personId: string;
  name: string;
  isActive: boolean;
  passwordHash: string | null;
  /** they have signed in from there, or an administrator has just unlocked them */
  isTrusted: boolean;
}

const SESSION = `
  SELECT p.id, p.name, p.email, p.role, p.fleet_ids AS "fleetIds", p.workshop_ids AS "workshopIds",
      p.technician_id AS "technicianId", p.locale, p.distance_unit AS "distanceUnit",
      p.pressure_unit AS "pressureUnit", s.idle_ends_at AS "idleEndsAt", s.ends_at AS "endsAt",
      jsonb_build_object('id', o.organisation_id, 'name', o.name, 'distanceUnit', o.distance_unit,
        'pressureUnit', o.pressure_unit) AS organisation
    FROM person_sessions s
      JOIN people p ON p.organisation_id = s.organisation_id AND p.id = s.person_id
      JOIN organisations o ON o.organisation_id = s.organisation_id
    WHERE s.id = $1`;

/** The statement that reads a session. */
export const sessionOf = (sessionId: string): Statement<SessionRow> => ({
  sql: SESSION,
  parameters: [sessionId],
});

/** The statement that reads what signing in has to know. */
export const accountOf = (personId: string, network: string): Statement<Account> => ({
  sql: `
    SELECT p.organisation_id AS "organisationId", o.name AS "organisationName", p.id AS "personId", p.name,
        p.state = 'active' AS "isActive", p.password_hash AS "passwordHash",
        COALESCE(p.unlocked_until > now(), false) OR EXISTS (SELECT FROM known_networks n
          WHERE n.organisation_id = p.organisation_id AND n.person_id = p.id AND n.network = $2
            AND n.last_signed_in_at > now() - $3 * interval '1 day') AS "isTrusted"
      FROM people p JOIN organisations o ON o.organisation_id = p.organisation_id
      WHERE p.id = $1`,
  parameters: [personId, network, NETWORK_KNOWN_FOR_DAYS],
});

@Injectable()
export class SessionsRepository {
  async find(tx: Tx, sessionId: string): Promise<SessionRow | null> {
    const [row] = await tx.query<SessionRow[]>(SESSION, [sessionId]);
    return row ?? null;
  }

  /** Begins a session, in place of the oldest where there are too many; those that have ended go. */
  async start(tx: Tx, organisationId: string, personId: string, tokenSha256: Buffer): Promise<string> {
    await tx.query(
      `DELETE FROM person_sessions WHERE person_id = $1 AND (ends_at <= now() OR idle_ends_at <= now()
        OR id NOT IN (SELECT id FROM person_sessions WHERE person_id = $1 ORDER BY started_at DESC, id DESC LIMIT $2))`,
      [personId, MOST_SESSIONS - 1],
    );
    const [row] = await tx.query<[{ id: string }]>(
      `INSERT INTO person_sessions (organisation_id, person_id, token_sha256, idle_ends_at, ends_at)
        VALUES ($1, $2, $3, now() + $4 * interval '1 millisecond', now() + $5 * interval '1 millisecond')
        RETURNING id`,
      [organisationId, personId, tokenSha256, SESSION_IDLE_MS, SESSION_LASTS_AT_MOST_MS],
    );
    return row.id;
  }

  /** From now on the network is known for a while. */
  async knowNetwork(tx: Tx, organisationId: string, personId: string, network: string): Promise<void> {
    await tx.query(
      `DELETE FROM known_networks
        WHERE person_id = $1 AND last_signed_in_at <= now() - $2 * interval '1 day'`,
      [personId, NETWORK_KNOWN_FOR_DAYS],
    );
    await tx.query(
      `INSERT INTO known_networks (organisation_id, person_id, network, last_signed_in_at)
        VALUES ($1, $2, $3, now())
        ON CONFLICT (organisation_id, person_id, network) DO UPDATE SET last_signed_in_at = now()`,
      [organisationId, personId, network],
    );
  }

  async end(tx: Tx, sessionId: string): Promise<void> {
    await tx.query(`DELETE FROM person_sessions WHERE id = $1`, [sessionId]);
  }

  /** @param exceptId a session that goes on */
  async endAll(tx: Tx, personId: string, exceptId: string | null = null): Promise<void> {
    await tx.query(`DELETE FROM person_sessions WHERE person_id = $1 AND id IS DISTINCT FROM $2::uuid`, [
      personId,
      exceptId,
    ]);
  }
}
