import { timingSafeEqual } from 'node:crypto';
import { Inject, Injectable } from '@nestjs/common';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { Config } from '../../platform/config/config';
import { CONFIG } from '../../platform/config/config.module';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { networkOf } from '../../platform/http/network-of';
import { RequestAllowance } from '../../platform/http/request-allowance';
import { checkPassword } from '../../platform/security/password-rules';
import { Passwords } from '../../platform/security/passwords';
import { parseInvitation, type PersonCredential } from '../../platform/security/person-credentials';
import { personActor, systemPrincipal } from '../../platform/security/principal';
import { refuseSignInFromElsewhere } from '../../platform/security/same-origin';
import { sessionCookie } from '../../platform/security/session-cookie';
import type { SessionDto } from './dto/session.dto';
import type { AcceptInvitationDto } from './dto/sign-in.dto';
import { invitationNotValid } from './people.errors';
import { PeopleRepository } from './people.repository';
import type { Person } from './person.entity';
import { SessionsService } from './sessions.service';

/** Lets people in who have been invited: they set their password, and are signed in. */
@Injectable()
export class InvitationAcceptancesService {
  constructor(
    private readonly transactions: Transactions,
    private readonly people: PeopleRepository,
    private readonly sessions: SessionsService,
    private readonly passwords: Passwords,
    private readonly allowance: RequestAllowance,
    private readonly audit: AuditTrail,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  /** @throws CodedError `invitation-not-valid`, whatever the reason */
  async accept(
    { invitation, password }: AcceptInvitationDto,
    request: FastifyRequest,
    reply: FastifyReply,
  ): Promise<SessionDto> {
    refuseSignInFromElsewhere(request);
    await this.allowance.takeSignIn(request.ip, reply);
    const credential = parseInvitation(invitation);
    if (credential === null) throw invitationNotValid();
    const system = systemPrincipal(credential.organisationId, 'accepting an invitation');
    const { name, email, organisationName } = await this.transactions.read(system, async (tx) => ({
      ...(await this.lockInvited(tx, credential)),
      organisationName: await this.people.organisationName(tx),
    }));
    checkPassword('password', password, { name, email, organisationName });
    const passwordHash = await this.passwords.hash(password);
    const { session, token } = await this.transactions.run(system, async (tx) => {
      const person = await this.lockInvited(tx, credential);
      Object.assign(person, ACCEPTED, { passwordHash });
      person.revision += 1;
      const { id: personId } = await this.people.save(tx, person);
      const principal = { ...system, actor: personActor(name, personId) };
      await this.audit.record(tx, principal, {
        action: 'invitation-accepted',
        subjectType: 'person',
        subjectId: personId,
      });
      return this.sessions.start(tx, person, networkOf(request.ip));
    });
    void reply.header('Set-Cookie', sessionCookie(this.config.publicUrl, token));
    return session;
  }

  private async lockInvited(tx: Tx, { id, secretSha256 }: PersonCredential): Promise<Person> {
    const person = await this.people.lock(tx, id);
    if (person?.state !== 'invited') throw invitationNotValid();
    const { invitationSha256, invitationExpiresAt } = person;
    if (invitationSha256 === null || invitationExpiresAt === null) throw invitationNotValid();
    const isOpen = invitationExpiresAt > (await this.people.now(tx));
    if (!timingSafeEqual(invitationSha256, secretSha256) || !isOpen) throw invitationNotValid();
    return person;
  }
}

const ACCEPTED: Partial<Person> = {
  state: 'active',
  invitationId: null,
  invitationSha256: null,
  invitationExpiresAt: null,
};
