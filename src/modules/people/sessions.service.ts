import { Inject, Injectable } from '@nestjs/common';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import type { Config } from '../../platform/config/config';
import { CONFIG } from '../../platform/config/config.module';
import { PersonAddresses } from '../../platform/database/person-addresses';
import { SignInFailures } from '../../platform/database/sign-in-failures';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { applyMergePatch } from '../../platform/http/merge-patch';
import { networkOf } from '../../platform/http/network-of';
import { RequestAllowance } from '../../platform/http/request-allowance';
import type { RequestContext } from '../../platform/http/request-context';
import { newSecret, sha256 } from '../../platform/security/api-key-token';
import { checkPassword } from '../../platform/security/password-rules';
import { Passwords } from '../../platform/security/passwords';
import { formatSessionToken } from '../../platform/security/person-credentials';
import { personActor, systemPrincipal, type Principal } from '../../platform/security/principal';
import { clearedSessionCookie } from '../../platform/security/session-cookie';
import { sessionNotValid } from '../../platform/security/session-verifier';
import type { WritePreferencesDto } from './dto/preferences.dto';
import { toSessionDto, type SessionDto } from './dto/session.dto';
import type { ChangePasswordDto } from './dto/sign-in.dto';
import { notYourPassword, signInRefused, signInWaits } from './people.errors';
import { PeopleRepository } from './people.repository';
import type { Person } from './person.entity';
import { sessionOf, SessionsRepository, type Account } from './sessions.repository';

/** A session that has just begun: its token belongs into the cookie, and nowhere else. */
export interface StartedSession {
  session: SessionDto;
  token: string;
}

/** What people who have signed in do with their session and what is their own. */
@Injectable()
export class SessionsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly people: PeopleRepository,
    private readonly sessions: SessionsRepository,
    private readonly passwords: Passwords,
    private readonly addresses: PersonAddresses,
    private readonly failures: SignInFailures,
    private readonly allowance: RequestAllowance,
    private readonly audit: AuditTrail,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  async get({ principal }: RequestContext): Promise<SessionDto> {
    const [row] = await this.transactions.readRows(principal, sessionOf(idOf(principal)));
    if (row === undefined) throw sessionNotValid();
    return toSessionDto(row);
  }

  changePreferences({ principal }: RequestContext, body: WritePreferencesDto): Promise<SessionDto> {
    return this.transactions.run(principal, async (tx) => {
      const person = await this.lockOwn(tx, principal);
      const before = preferencesOf(person);
      if (applyMergePatch<Person>(person, body).length > 0) {
        person.revision += 1;
        await this.people.save(tx, person);
        await this.record(tx, principal, 'preferences-changed', { before, after: preferencesOf(person) });
      }
      return this.read(tx, idOf(principal));
    });
  }

  /** Ends every other session: whoever knows the old password may have one. */
  async changePassword(
    { principal }: RequestContext,
    { currentPassword, newPassword }: ChangePasswordDto,
    request: FastifyRequest,
    reply: FastifyReply,
  ): Promise<SessionDto> {
    await this.allowance.takeSignIn(request.ip, reply);
    const { person, organisationName } = await this.transactions.read(principal, async (tx) => ({
      person: await this.lockOwn(tx, principal),
      organisationName: await this.people.organisationName(tx),
    }));
    await this.checkCurrent(person, currentPassword, request, reply);
    const { name, email, passwordHash } = person;
    checkPassword('newPassword', newPassword, { name, email, organisationName });
    const newHash = await this.passwords.hash(newPassword);
    return this.transactions.run(principal, async (tx) => {
      const own = await this.lockOwn(tx, principal);
      // somebody was faster
      if (own.passwordHash !== passwordHash) throw sessionNotValid();
      own.passwordHash = newHash;
      own.revision += 1;
      await this.people.save(tx, own);
      await this.sessions.endAll(tx, own.id, idOf(principal));
      await this.record(tx, principal, 'password-changed', {});
      return this.read(tx, idOf(principal));
    });
  }

  async end({ principal }: RequestContext, reply: FastifyReply): Promise<void> {
    await this.transactions.run(principal, async (tx) => {
      await this.sessions.end(tx, idOf(principal));
      await this.record(tx, principal, 'signed-out', {});
    });
    void reply.header('Set-Cookie', clearedSessionCookie(this.config.publicUrl));
  }

  /** Begins a session of somebody whose password has just been compared with what is stored. */
  startAfterPassword(account: Account, network: string): Promise<StartedSession> {
    const { organisationId, personId, passwordHash } = account;
    const system = systemPrincipal(organisationId, 'signing in');
    return this.transactions.run(system, async (tx) => {
      const person = await this.people.lock(tx, personId);
      // between the comparison and now they may have been disabled, or have changed their password
      if (person?.state !== 'active' || person.passwordHash !== passwordHash) throw signInRefused();
      return this.start(tx, person, network);
    });
  }

  /** Begins a session in a transaction that has locked the person. */
  async start(tx: Tx, person: Person, network: string): Promise<StartedSession> {
    const { organisationId, id: personId } = person;
    const secret = newSecret();
    const sessionId = await this.sessions.start(tx, organisationId, personId, sha256(secret));
    await this.sessions.knowNetwork(tx, organisationId, personId, network);
    person.lastSignedInAt = await this.people.now(tx);
    person.unlockedUntil = null;
    await this.people.save(tx, person);
    const actor = personActor(person.name, personId);
    const principal = { ...systemPrincipal(organisationId, 'signing in'), actorId: personId, actor };
    await this.record(tx, principal, 'signed-in', { after: { network } });
    return {
      session: await this.read(tx, sessionId),
      token: formatSessionToken(organisationId, sessionId, secret),
    };
  }

  /** A stolen session is not to be a way to find the password out: wrong ones count as at the door. */
  private async checkCurrent(
    { email, passwordHash }: Person,
    password: string,
    { ip }: FastifyRequest,
    reply: FastifyReply,
  ): Promise<void> {
    const address = this.addresses.digestOf('address', email);
    const network = this.addresses.digestOf('network', networkOf(ip));
    const { waitMs } = await this.failures.begin(address, network, false);
    if (waitMs > 0) {
      void reply.header('Retry-After', String(Math.ceil(waitMs / 1_000)));
      throw signInWaits(waitMs);
    }
    if (!(await this.passwords.isPasswordOf(passwordHash, password))) throw notYourPassword();
    await this.failures.takeBack(address, network);
  }

  private async lockOwn(tx: Tx, { actorId }: Principal): Promise<Person> {
    const person = actorId === null ? null : await this.people.lock(tx, actorId);
    if (person === null) throw sessionNotValid();
    return person;
  }

  private async read(tx: Tx, sessionId: string): Promise<SessionDto> {
    const row = await this.sessions.find(tx, sessionId);
    if (row === null) throw sessionNotValid();
    return toSessionDto(row);
  }

  private record(
    tx: Tx,
    principal: Principal,
    action: ActionOn<'person'>,
    change: { before?: object; after?: object },
  ): Promise<void> {
    const subjectId = principal.actorId ?? '';
    return this.audit.record(tx, principal, { action, subjectType: 'person', subjectId, ...change });
  }
}

function idOf({ sessionId }: Principal): string {
  if (sessionId === undefined) throw sessionNotValid();
  return sessionId;
}

const preferencesOf = ({ locale, distanceUnit, pressureUnit }: Person): object => ({
  ...{ locale, distanceUnit, pressureUnit },
});
