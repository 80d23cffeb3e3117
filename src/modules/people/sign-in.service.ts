import { Inject, Injectable } from '@nestjs/common';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { Config } from '../../platform/config/config';
import { CONFIG } from '../../platform/config/config.module';
import { PersonAddresses, type AddressedPerson } from '../../platform/database/person-addresses';
import { SignInFailures, type CountedAttempt } from '../../platform/database/sign-in-failures';
import { Transactions } from '../../platform/database/transactions';
import { networkOf } from '../../platform/http/network-of';
import { RequestAllowance } from '../../platform/http/request-allowance';
import { Passwords } from '../../platform/security/passwords';
import { personActor, systemPrincipal } from '../../platform/security/principal';
import { refuseSignInFromElsewhere } from '../../platform/security/same-origin';
import { sessionCookie } from '../../platform/security/session-cookie';
import { TRUSTED_UNTIL_FAILURES } from '../../platform/security/sign-in-waits';
import type { SessionDto } from './dto/session.dto';
import type { SignInDto } from './dto/sign-in.dto';
import { organisationToChoose, signInRefused, signInWaits } from './people.errors';
import { accountOf, type Account } from './sessions.repository';
import { SessionsService } from './sessions.service';

/**
 * So many people of an address are looked at, and so many passwords compared, with every attempt: where there are fewer,
 * nobody's. How long it takes then tells nothing about an address, nor that a second organisation knows it.
 */
const LOOKED_AT = 3;

const NOBODY: AddressedPerson = {
  organisationId: '00000000-0000-0000-0000-000000000000',
  personId: '00000000-0000-0000-0000-000000000000',
};

/** Signs people in with address and password. */
@Injectable()
export class SignInService {
  constructor(
    private readonly transactions: Transactions,
    private readonly addresses: PersonAddresses,
    private readonly failures: SignInFailures,
    private readonly passwords: Passwords,
    private readonly sessions: SessionsService,
    private readonly allowance: RequestAllowance,
    private readonly audit: AuditTrail,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  /** @throws CodedError `sign-in-refused` or `too-many-requests`, which tell nothing of whether the address exists */
  async signIn(
    { email, password, organisationId }: SignInDto,
    request: FastifyRequest,
    reply: FastifyReply,
  ): Promise<SessionDto> {
    refuseSignInFromElsewhere(request);
    await this.allowance.takeSignIn(request.ip, reply);
    const network = networkOf(request.ip);
    const address = this.addresses.digestOf('address', email);
    const from = this.addresses.digestOf('network', network);
    const accounts = await this.accountsOf(address, network, organisationId);
    const trusted = accounts.some((account) => account?.isTrusted === true);
    const attempt = await this.failures.begin(address, from, trusted);

    const right = await this.fitting(accounts, password, attempt);
    const [account] = right;
    if (account === undefined) {
      if (attempt.beginsToWait) await this.noteWaiting(accounts, network, attempt);
      if (attempt.waitMs === 0) throw signInRefused();
      void reply.header('Retry-After', String(Math.ceil(attempt.waitMs / 1_000)));
      throw signInWaits(attempt.waitMs);
    }
    await this.failures.takeBack(address, from);
    if (right.length > 1) throw organisationToChoose(right.map(toChoice));
    const { session, token } = await this.sessions.startAfterPassword(account, network);
    void reply.header('Set-Cookie', sessionCookie(this.config.publicUrl, token));
    return session;
  }

  private async accountsOf(
    address: Buffer,
    network: string,
    organisationId: string | undefined,
  ): Promise<(Account | null)[]> {
    const found = await this.addresses.find(address);
    const meant = found.filter(
      (each) => organisationId === undefined || each.organisationId === organisationId,
    );
    const wanted = organisationId === undefined ? LOOKED_AT : 1;
    const padded = [...meant, ...Array.from({ length: wanted }, () => NOBODY)];
    const accounts: (Account | null)[] = [];
    for (const { organisationId: of, personId } of padded.slice(0, Math.max(wanted, meant.length))) {
      const system = systemPrincipal(of, 'signing in');
      const [account] = await this.transactions.readRows(system, accountOf(personId, network));
      accounts.push(account ?? null);
    }
    return accounts;
  }

  /** Those whom the password lets in. All of them are compared, whatever the first ones say. */
  private async fitting(
    accounts: readonly (Account | null)[],
    password: string,
    { waitMs, failures }: CountedAttempt,
  ): Promise<Account[]> {
    const right: Account[] = [];
    for (const account of accounts) {
      const fits = await this.passwords.isPasswordOf(account?.passwordHash ?? null, password);
      const mayTry = waitMs === 0 || (account?.isTrusted === true && failures <= TRUSTED_UNTIL_FAILURES);
      if (account !== null && fits && account.isActive && mayTry) right.push(account);
    }
    return right;
  }

  private async noteWaiting(
    accounts: readonly (Account | null)[],
    network: string,
    { failures }: CountedAttempt,
  ): Promise<void> {
    for (const account of accounts) {
      if (account === null) continue;
      const { organisationId, personId, name } = account;
      const system = systemPrincipal(organisationId, 'signing in');
      await this.transactions.run(system, (tx) =>
        this.audit.record(tx, system, {
          action: 'sign-in-slowed',
          subjectType: 'person',
          subjectId: personId,
          after: { person: personActor(name, personId), network, failuresFromThere: failures },
        }),
      );
    }
  }
}

const toChoice = ({ organisationId, organisationName }: Account): { id: string; name: string } => ({
  id: organisationId,
  name: organisationName,
});
