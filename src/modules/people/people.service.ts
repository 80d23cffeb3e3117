import { randomUUID } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import { checkAccessLimits } from '../../platform/database/access-limits';
import { onConstraint } from '../../platform/database/on-constraint';
import { PersonAddresses } from '../../platform/database/person-addresses';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { applyMergePatch } from '../../platform/http/merge-patch';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import { newSecret, sha256 } from '../../platform/security/api-key-token';
import { formatInvitation } from '../../platform/security/person-credentials';
import type { Principal } from '../../platform/security/principal';
import { INVITATION_LASTS_MS } from '../../platform/security/session-rules';
import { shownOnce } from '../../platform/security/shown-once';
import { UNLOCKED_FOR_MINUTES } from '../../platform/security/sign-in-waits';
import { WorkshopResourcesService } from '../workshops/workshop-resources.service';
import type { ListPeopleQueryDto } from './dto/person-query.dto';
import { toPersonDto, type PersonDto, type PersonWithInvitationDto } from './dto/person.dto';
import type { InvitePersonDto, UpdatePersonDto } from './dto/write-person.dto';
import { addressTaken, noTechnician, ownAccess, personDisabled } from './people.errors';
import { PeopleRepository } from './people.repository';
import type { Person } from './person.entity';
import { SessionsRepository } from './sessions.repository';

type Invited = PersonDto & { invitationId: string };
type Show = (invitationId: string, invitation: string) => void;

/** What nobody is invited to have of their own: it is set when they accept. */
const NEW_PERSON = {
  state: 'invited',
  passwordHash: null,
  lastSignedInAt: null,
  unlockedUntil: null,
} as const;
const NO_INVITATION = { invitationId: null, invitationSha256: null, invitationExpiresAt: null };

/** Invites people, and says what they may do. */
@Injectable()
export class PeopleService {
  constructor(
    private readonly transactions: Transactions,
    private readonly people: PeopleRepository,
    private readonly sessions: SessionsRepository,
    private readonly addresses: PersonAddresses,
    private readonly workshops: WorkshopResourcesService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  list({ principal }: RequestContext, query: ListPeopleQueryDto): Promise<Page<PersonDto>> {
    const { limit = 50, cursor, includeDisabled = true } = query;
    const bound = { list: 'people', organisationId: principal.organisationId, includeDisabled };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const seen = after === null ? null : String(after[0]);
      const rows = await this.people.list(tx, includeDisabled, seen, limit);
      return this.cursors.page(rows, limit, bound, ({ id }) => [id], toPersonDto);
    });
  }

  get({ principal }: RequestContext, personId: string): Promise<PersonDto> {
    return this.transactions.read(principal, async (tx) => {
      const person = await this.people.find(tx, personId);
      if (person === null) throw notFound('person', personId);
      return toPersonDto(person);
    });
  }

  invite(context: RequestContext, body: InvitePersonDto): Promise<PersonWithInvitationDto> {
    const { principal } = context;
    return withInvitation((show) =>
      this.transactions.write(context, async (tx) => {
        const { fleetIds = null, workshopIds = null, technicianId = null } = body;
        await checkAccessLimits(tx, { fleetIds, workshopIds });
        await this.checkTechnician(tx, technicianId);
        const addressDigest = this.addresses.digestOf('address', body.email);
        const known = await this.people.findByAddress(tx, addressDigest);
        if (known !== null) throw addressTaken(known.id);
        const { name, email, role, locale = null, distanceUnit = null, pressureUnit = null } = body;
        const { organisationId, actor } = principal;
        const now = await this.people.now(tx);
        const { secret, ...invitation } = newInvitation(now);
        const values = {
          ...{ organisationId, name, email: email.trim(), addressDigest, role, fleetIds, workshopIds },
          ...{ technicianId, locale, distanceUnit, pressureUnit, createdBy: actor },
          ...NEW_PERSON,
          ...invitation,
        };
        // somebody whom the caller does not see may have the address
        const person = await onConstraint(() => this.people.create(tx, values), {
          people_address_key: () => addressTaken(null),
        });
        show(invitation.invitationId, formatInvitation(organisationId, person.id, secret));
        const after = toPersonDto(person);
        await this.record(tx, principal, 'invited', { after });
        return { ...after, invitationId: invitation.invitationId };
      }),
    );
  }

  /** Another invitation, which sets another password. What opened anything before does not any more. */
  inviteAnew(context: RequestContext, personId: string): Promise<PersonWithInvitationDto> {
    const { principal } = context;
    return withInvitation((show) =>
      this.transactions.write(context, async (tx) => {
        const person = await this.lock(tx, personId);
        if (person.state === 'disabled') throw personDisabled();
        const { secret, ...invitation } = newInvitation(await this.people.now(tx));
        show(invitation.invitationId, formatInvitation(person.organisationId, person.id, secret));
        // the key of the digests may have changed since
        const addressDigest = this.addresses.digestOf('address', person.email);
        const after = await this.change(tx, principal, 'invited-anew', person, {
          ...{ addressDigest, passwordHash: null, state: 'invited' },
          ...invitation,
        });
        await this.sessions.endAll(tx, personId);
        return { ...after, invitationId: invitation.invitationId };
      }),
    );
  }

  /** Somebody who can sign in whatever has happened: invites them, or invites anew whoever has the address. */
  async inviteInAnyCase(context: RequestContext, body: InvitePersonDto): Promise<PersonWithInvitationDto> {
    const addressDigest = this.addresses.digestOf('address', body.email);
    const known = await this.transactions.read(context.principal, (tx) =>
      this.people.findByAddress(tx, addressDigest),
    );
    if (known === null) return this.invite(context, body);
    const { name, role } = body;
    const { id, revision } = known;
    await this.update(context, id, revision, {
      name,
      role,
      state: 'active',
      fleetIds: null,
      workshopIds: null,
    });
    return this.inviteAnew(context, id);
  }

  update(
    context: RequestContext,
    personId: string,
    revision: number,
    body: UpdatePersonDto,
  ): Promise<PersonDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const person = await this.lock(tx, personId);
      expectRevision(person, revision);
      const { state, ...fields } = body;
      await this.checkChange(tx, principal, person, body);
      const before = toPersonDto(person);
      const changed = applyMergePatch<Person>(person, withoutSameLists(person, fields)).length > 0;
      const { action, values } = transition(person, state);
      if (!changed && action === null) return before;
      const after = await this.change(tx, principal, action ?? 'changed', person, values, before);
      if (action === 'disabled') await this.sessions.endAll(tx, personId);
      return after;
    });
  }

  /** Lets a person sign in from anywhere for a while, however many attempts have failed. */
  unlock(context: RequestContext, personId: string): Promise<PersonDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const person = await this.lock(tx, personId);
      const now = await this.people.now(tx);
      const unlockedUntil = new Date(now.getTime() + UNLOCKED_FOR_MINUTES * 60_000);
      return this.change(tx, principal, 'unlocked', person, { unlockedUntil });
    });
  }

  private async checkChange(
    tx: Tx,
    { actorId }: Principal,
    person: Person,
    {
      role,
      state,
      fleetIds = person.fleetIds,
      workshopIds = person.workshopIds,
      technicianId,
    }: UpdatePersonDto,
  ): Promise<void> {
    const limits = { fleetIds, workshopIds };
    const changesAccess =
      (role !== undefined && role !== person.role) ||
      Object.keys(withoutSameLists(person, limits)).length > 0 ||
      state === 'disabled';
    if (changesAccess && actorId === person.id) throw ownAccess();
    await checkAccessLimits(tx, limits);
    await this.checkTechnician(tx, technicianId ?? null);
  }

  private async checkTechnician(tx: Tx, technicianId: string | null): Promise<void> {
    if (technicianId !== null && !(await this.workshops.hasTechnician(tx, technicianId)))
      throw noTechnician(technicianId);
  }

  private async lock(tx: Tx, personId: string): Promise<Person> {
    const person = await this.people.lock(tx, personId);
    if (person === null) throw notFound('person', personId);
    return person;
  }

  private async change(
    tx: Tx,
    principal: Principal,
    action: ActionOn<'person'>,
    person: Person,
    values: Partial<Person>,
    before = toPersonDto(person),
  ): Promise<PersonDto> {
    Object.assign(person, values);
    person.revision += 1;
    const after = toPersonDto(await this.people.save(tx, person));
    await this.record(tx, principal, action, { before, after });
    return after;
  }

  private record(
    tx: Tx,
    principal: Principal,
    action: ActionOn<'person'>,
    change: { before?: PersonDto; after: PersonDto },
  ): Promise<void> {
    return this.audit.record(tx, principal, {
      action,
      subjectType: 'person',
      subjectId: change.after.id,
      ...change,
    });
  }
}

/** What becomes of a person's state: who never had a password is still invited when they are enabled. */
function transition(
  person: Person,
  state: UpdatePersonDto['state'],
): { action: 'disabled' | 'enabled' | null; values: Partial<Person> } {
  if (state === 'disabled' && person.state !== 'disabled')
    return { action: 'disabled', values: { state, unlockedUntil: null, ...NO_INVITATION } };
  if (state === 'active' && person.state === 'disabled')
    return { action: 'enabled', values: { state: person.passwordHash === null ? 'invited' : 'active' } };
  return { action: null, values: {} };
}

/** Lists that name the same are no change. */
function withoutSameLists<T extends Partial<Person>>(person: Person, fields: T): T {
  const same = (one: unknown, other: unknown): boolean =>
    Array.isArray(one) && Array.isArray(other)
      ? JSON.stringify(one.toSorted()) === JSON.stringify(other.toSorted())
      : one === other;
  const kept = Object.entries(fields).filter(([name, value]) => !same(value, person[name as keyof Person]));
  return Object.fromEntries(kept) as T;
}

function newInvitation(now: Date): Required<
  Pick<Person, 'invitationSha256' | 'invitationExpiresAt' | 'invitedAt'>
> & {
  invitationId: string;
  secret: string;
} {
  const secret = newSecret();
  return {
    secret,
    invitationId: randomUUID(),
    invitationSha256: sha256(secret),
    invitationExpiresAt: new Date(now.getTime() + INVITATION_LASTS_MS),
    invitedAt: now,
  };
}

async function withInvitation(write: (show: Show) => Promise<Invited>): Promise<PersonWithInvitationDto> {
  const { answer, secret } = await shownOnce('invitationId', write);
  return { ...answer, invitation: secret };
}
