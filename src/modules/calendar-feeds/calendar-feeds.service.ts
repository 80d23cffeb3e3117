import { randomUUID } from 'node:crypto';
import { Inject, Injectable } from '@nestjs/common';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import type { Config } from '../../platform/config/config';
import { CONFIG } from '../../platform/config/config.module';
import { ownLimits } from '../../platform/database/access-limits';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import { newSecret, sha256 } from '../../platform/security/api-key-token';
import { formatCalendarSecret } from '../../platform/security/calendar-secret';
import type { Principal } from '../../platform/security/principal';
import { shownOnce } from '../../platform/security/shown-once';
import { DepotsService } from '../depots/depots.service';
import { WorkshopsService } from '../workshops/workshops.service';
import type { CalendarFeed } from './calendar-feed.entity';
import { feedRevoked } from './calendar-feeds.errors';
import { CalendarFeedsRepository } from './calendar-feeds.repository';
import {
  toCalendarFeedDto,
  type CalendarFeedDto,
  type CalendarFeedWithAddressDto,
  type CreateCalendarFeedDto,
  type ListCalendarFeedsQueryDto,
} from './dto/calendar-feed.dto';

/** What a calendar shows, and whom its changes are told. */
interface Subject {
  workshopId: string | null;
  depotId: string | null;
  fleetId: string | null;
}

/** Makes, rotates and revokes the addresses at which calendars are read without a key. */
@Injectable()
export class CalendarFeedsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly feeds: CalendarFeedsRepository,
    private readonly workshops: WorkshopsService,
    private readonly depots: DepotsService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  list({ principal }: RequestContext, query: ListCalendarFeedsQueryDto): Promise<Page<CalendarFeedDto>> {
    const { limit = 50, cursor, includeRevoked = false } = query;
    const bound = { list: 'calendar-feeds', organisationId: principal.organisationId, includeRevoked };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const seen = after === null ? null : String(after[0]);
      const rows = await this.feeds.list(tx, includeRevoked, seen, limit);
      return this.cursors.page(rows, limit, bound, ({ id }) => [id], toCalendarFeedDto);
    });
  }

  get({ principal }: RequestContext, feedId: string): Promise<CalendarFeedDto> {
    return this.transactions.read(principal, async (tx) => {
      const feed = await this.feeds.find(tx, feedId);
      if (feed === null) throw notFound('calendar feed', feedId);
      return toCalendarFeedDto(feed);
    });
  }

  createForWorkshop(
    context: RequestContext,
    workshopId: string,
    body: CreateCalendarFeedDto,
  ): Promise<CalendarFeedWithAddressDto> {
    return this.create(context, body, async (tx) => {
      await this.workshops.require(tx, workshopId);
      return { workshopId, depotId: null, fleetId: null };
    });
  }

  createForDepot(
    context: RequestContext,
    depotId: string,
    body: CreateCalendarFeedDto,
  ): Promise<CalendarFeedWithAddressDto> {
    return this.create(context, body, async (tx) => {
      const { fleetId } = await this.depots.require(tx, depotId);
      return { workshopId: null, depotId, fleetId };
    });
  }

  /** Gives a feed another address. The old one opens nothing from then on. */
  rotate(context: RequestContext, feedId: string): Promise<CalendarFeedWithAddressDto> {
    const { principal } = context;
    return this.withAddress((show) =>
      this.transactions.write(context, async (tx) => {
        const feed = await this.lock(tx, feedId);
        if (feed.revokedAt !== null) throw feedRevoked();
        const { secret, ...made } = madeSecret(await this.feeds.now(tx));
        show(made.secretId, formatCalendarSecret(feed.organisationId, feed.id, secret));
        return this.change(tx, principal, 'rotated', feed, made);
      }),
    );
  }

  /** Ends a feed for good. Every reading checks it, so the next one is refused. */
  revoke(context: RequestContext, feedId: string, revision: number): Promise<CalendarFeedDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const feed = await this.lock(tx, feedId);
      expectRevision(feed, revision);
      if (feed.revokedAt !== null) return toCalendarFeedDto(feed);
      return this.change(tx, principal, 'revoked', feed, { revokedAt: await this.feeds.now(tx) });
    });
  }

  private create(
    context: RequestContext,
    { label, withNames = false }: CreateCalendarFeedDto,
    subjectOf: (tx: Tx) => Promise<Subject>,
  ): Promise<CalendarFeedWithAddressDto> {
    const { principal } = context;
    const { organisationId, actor } = principal;
    return this.withAddress((show) =>
      this.transactions.write(context, async (tx) => {
        const { workshopId, depotId, fleetId } = await subjectOf(tx);
        const { secret, ...made } = madeSecret(await this.feeds.now(tx));
        const feed = await this.feeds.create(tx, {
          organisationId,
          ...{ label, withNames, workshopId, depotId },
          ...(await ownLimits(tx)),
          ...made,
          lastReadAt: null,
          revokedAt: null,
          createdBy: actor,
        });
        show(made.secretId, formatCalendarSecret(organisationId, feed.id, secret));
        const after = toCalendarFeedDto(feed);
        await this.record(tx, principal, 'created', { workshopId, depotId, fleetId }, { after });
        return after;
      }),
    );
  }

  private async withAddress(
    write: (show: (secretId: string, secret: string) => void) => Promise<CalendarFeedDto>,
  ): Promise<CalendarFeedWithAddressDto> {
    const { answer, secret } = await shownOnce('secretId', write);
    const address = secret === null ? null : `${this.config.publicUrl}/v1/calendars/${secret}/calendar.ics`;
    return { ...answer, address };
  }

  private async lock(tx: Tx, feedId: string): Promise<CalendarFeed> {
    const feed = await this.feeds.lock(tx, feedId);
    if (feed === null) throw notFound('calendar feed', feedId);
    return feed;
  }

  private async change(
    tx: Tx,
    principal: Principal,
    action: ActionOn<'calendar-feed'>,
    feed: CalendarFeed,
    values: Partial<CalendarFeed>,
  ): Promise<CalendarFeedDto> {
    const before = toCalendarFeedDto(feed);
    Object.assign(feed, values);
    feed.revision += 1;
    const after = toCalendarFeedDto(await this.feeds.save(tx, feed));
    const { workshopId, depotId } = feed;
    const depot = depotId === null ? null : await this.depots.require(tx, depotId);
    const subject = { workshopId, depotId, fleetId: depot?.fleetId ?? null };
    await this.record(tx, principal, action, subject, { before, after });
    return after;
  }

  private record(
    tx: Tx,
    principal: Principal,
    action: ActionOn<'calendar-feed'>,
    { workshopId, fleetId }: Subject,
    change: { before?: CalendarFeedDto; after: CalendarFeedDto },
  ): Promise<void> {
    return this.audit.record(tx, principal, {
      action,
      subjectType: 'calendar-feed',
      subjectId: change.after.id,
      ...(workshopId === null ? {} : { workshopId }),
      ...(fleetId === null ? {} : { fleetId }),
      ...change,
    });
  }
}

function madeSecret(
  now: Date,
): Pick<CalendarFeed, 'secretId' | 'secretSha256' | 'secretMadeAt'> & { secret: string } {
  const secret = newSecret();
  return { secret, secretId: randomUUID(), secretSha256: sha256(secret), secretMadeAt: now };
}
