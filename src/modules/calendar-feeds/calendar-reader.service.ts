import { createHash, timingSafeEqual } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { addDays, localDateAt, startOfLocalDay } from '../../core/shared/calendar-date';
import { writeCalendar, type CalendarEvent } from '../../platform/calendar/write-calendar';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { CodedError } from '../../platform/errors/coded-error';
import { isTagListed } from '../../platform/http/entity-tag';
import { RequestAllowance } from '../../platform/http/request-allowance';
import { parseCalendarSecret } from '../../platform/security/calendar-secret';
import { systemPrincipal, type Principal } from '../../platform/security/principal';
import { CalendarContentsRepository, type Horizon } from './calendar-contents.repository';
import { noCalendar } from './calendar-feeds.errors';
import { CalendarFeedsRepository, opening, type OpenedFeed } from './calendar-feeds.repository';
import { diaryEvent, offRoadEvent, workshopDaysEvent } from './feed-events';

const DAYS_BACK = 28;
const DAYS_AHEAD = 182;
const CALLED_OFF_FOR_DAYS = 28;
const MOST_EVENTS = 10_000;
const REFRESH_SECONDS = 3_600;

/** Reads calendars at their secret addresses. */
@Injectable()
export class CalendarReaderService {
  constructor(
    private readonly transactions: Transactions,
    private readonly feeds: CalendarFeedsRepository,
    private readonly contents: CalendarContentsRepository,
    private readonly allowance: RequestAllowance,
    private readonly clock: Clock,
  ) {}

  /**
   * The calendar, or nothing where the reader has it as it is.
   *
   * @throws CodedError `not-found`, whatever the reason
   */
  async read(secret: string, request: FastifyRequest, reply: FastifyReply): Promise<string | undefined> {
    // who guesses addresses is counted before anybody looks at one
    await this.allowance.takeSignIn(request.ip, reply);
    const { feed, principal } = await this.open(secret);
    await this.allowance.takeCalendarRead(feed.id, reply);
    const text = await this.textOf(feed, principal);
    await this.transactions.run(principal, (tx) => this.feeds.noteReading(tx, feed.id));
    const tag = `"${createHash('sha256').update(text).digest('base64url')}"`;
    void reply.header('ETag', tag);
    if (!isTagListed(request.headers['if-none-match'], tag)) return text;
    void reply.status(304);
    return undefined;
  }

  private async open(secret: string): Promise<{ feed: OpenedFeed; principal: Principal }> {
    const named = parseCalendarSecret(secret);
    if (named === null) throw noCalendar();
    const { organisationId, feedId, secretSha256 } = named;
    const system = systemPrincipal(organisationId, 'opening a calendar');
    const [feed] = await this.transactions.readRows(system, opening(feedId));
    if (feed === undefined || !timingSafeEqual(feed.secretSha256, secretSha256)) throw noCalendar();
    const actor = `calendar feed ${feedId}`;
    return {
      feed,
      principal: { organisationId, actorId: feedId, role: 'technician', scopes: ['read'], actor },
    };
  }

  /** Everything is read as the feed itself: within its fleets and workshops, and not at all once it is revoked. */
  private async textOf(feed: OpenedFeed, principal: Principal): Promise<string> {
    try {
      return await this.transactions.read(principal, async (tx) => {
        const place = await this.contents.placeOf(tx, feed);
        if (place === null) throw noCalendar();
        const events = await this.eventsOf(tx, feed, place.zone);
        return writeCalendar(
          {
            name: `${place.name}: ${feed.workshopId === null ? 'off-road days' : 'workshop diary'}`,
            product: 'Calendar feed',
            refreshSeconds: REFRESH_SECONDS,
          },
          events,
        );
      });
    } catch (error) {
      if (error instanceof CodedError && error.code === 'key-not-valid') throw noCalendar();
      throw error;
    }
  }

  private async eventsOf(
    tx: Tx,
    { workshopId, depotId, withNames }: OpenedFeed,
    zone: string,
  ): Promise<CalendarEvent[]> {
    const horizon = this.horizonIn(zone);
    if (workshopId !== null) {
      const bookings = await this.contents.bookingsOfWorkshop(tx, workshopId, horizon);
      return bookings.map((booking) => diaryEvent(booking, withNames));
    }
    if (depotId === null) return [];
    const periods = await this.contents.offRoadPeriodsOfDepot(tx, depotId, horizon);
    const bookings = await this.contents.bookingsOfDepot(tx, depotId, horizon);
    return [
      ...periods.map(offRoadEvent),
      ...bookings.map((booking) => workshopDaysEvent(booking, zone, withNames)),
    ];
  }

  private horizonIn(zone: string): Horizon {
    const todayOn = localDateAt(this.clock.now(), zone);
    const fromOn = addDays(todayOn, -DAYS_BACK);
    const untilOn = addDays(todayOn, DAYS_AHEAD + 1);
    return {
      fromOn,
      untilOn,
      fromAt: new Date(startOfLocalDay(fromOn, zone)),
      untilAt: new Date(startOfLocalDay(untilOn, zone)),
      calledOffForDays: CALLED_OFF_FOR_DAYS,
      limit: MOST_EVENTS,
    };
  }
}
