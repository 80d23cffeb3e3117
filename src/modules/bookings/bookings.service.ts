import { Injectable } from '@nestjs/common';
import { v7 as uuidv7 } from 'uuid';
import { changeableIn } from '../../core/booking/booking-state';
import { parseInstant } from '../../core/shared/instant';
import type { Slot } from '../../core/working-time/workshop';
import { AuditTrail } from '../../platform/audit/audit-trail';
import { Clock } from '../../platform/clock/clock';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { CodedError, notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import { Jobs } from '../../platform/jobs/jobs';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import { VehiclePlacesService } from '../due-items/vehicle-places.service';
import { BookingAllocationsRepository, NO_DOUBLE_BOOKING } from './booking-allocations.repository';
import { BookingPlacerService } from './booking-placer.service';
import type { Booking } from './booking.entity';
import {
  alreadyHere,
  bookingKeyTaken,
  notAWholeMinute,
  notChangeable,
  provisionalRanOut,
  slotTaken,
  tooFarAhead,
  tooLongAgo,
  withFreeTimes,
} from './bookings.errors';
import { BookingsRepository } from './bookings.repository';
import type { ListBookingsQueryDto } from './dto/booking-params.dto';
import { toBookingDto, type BookingDto } from './dto/booking.dto';
import type { CreateBookingDto, UpdateBookingDto } from './dto/write-booking.dto';
import { FreeTimesService } from './free-times.service';
import { jobOfWork } from './job-of-work';
import { wantedWork } from './wanted-work';

const MS_PER_MINUTE = 60_000;
const MS_PER_DAY = 86_400_000;
/** Hours of opening and of people are not planned further. */
const FURTHEST_DAYS = 730;
// a job starts a little after its moment, so that the moment has passed by the database's clock
const LAPSE_AFTER_MS = 2_000;

const GUARDS = { [NO_DOUBLE_BOOKING]: () => slotTaken([]) };

@Injectable()
export class BookingsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly bookings: BookingsRepository,
    private readonly allocations: BookingAllocationsRepository,
    private readonly placer: BookingPlacerService,
    private readonly freeTimes: FreeTimesService,
    private readonly places: VehiclePlacesService,
    private readonly dueItems: DueItemsService,
    private readonly audit: AuditTrail,
    private readonly jobs: Jobs,
    private readonly cursors: Cursors,
    private readonly clock: Clock,
  ) {}

  list({ principal }: RequestContext, query: ListBookingsQueryDto): Promise<Page<BookingDto>> {
    const { limit = 50, cursor, ...filter } = query;
    const bound = { list: 'bookings', organisationId: principal.organisationId, filter };
    const after = this.cursors.after(cursor, bound);
    const seen = after === null ? null : { startsAt: String(after[0]), id: String(after[1]) };
    return this.transactions.read(principal, async (tx) => {
      const nowAt = await this.bookings.databaseNow(tx);
      const rows = await this.bookings.list(tx, filter, seen, limit);
      const keyOf = ({ startsAt, id }: Booking): string[] => [startsAt.toISOString(), id];
      return this.cursors.page(rows, limit, bound, keyOf, (booking) => toBookingDto(booking, nowAt));
    });
  }

  get({ principal }: RequestContext, bookingId: string): Promise<BookingDto> {
    return this.transactions.read(principal, async (tx) => {
      const booking = await this.require(tx, bookingId);
      return toBookingDto(booking, await this.bookings.databaseNow(tx));
    });
  }

  async create(context: RequestContext, body: CreateBookingDto): Promise<BookingDto> {
    const { principal } = context;
    const startsAt = this.startOf(body.startsAt);
    return this.withFreeTimes(
      principal,
      { ...body, workshopIds: [body.workshopId], startsAt, exceptBookingId: null },
      () => this.transactions.write(context, (tx) => this.book(tx, principal, body, startsAt)),
    );
  }

  /** Books in the caller's transaction. The answer is what the caller is to be told. */
  async book(tx: Tx, principal: Principal, body: CreateBookingDto, startsAt: number): Promise<BookingDto> {
    const { vehicleId, workshopId, bayId = null, technicianIds = null, holdMinutes = null } = body;
    const [{ fleetId }, rows] = await Promise.all([
      this.places.lock(tx, vehicleId),
      this.dueItems.stored(tx, [vehicleId]),
    ]);
    const work = wantedWork(body, rows);
    const job = jobOfWork(work, body.workMinutes ?? null);
    const slot = await this.placer.place(tx, {
      vehicleId,
      workshopId,
      job,
      startsAt,
      bayId,
      technicianIds,
      exceptBookingId: null,
    });
    const nowAt = await this.bookings.databaseNow(tx);
    const provisionalUntil = holdMinutes === null ? null : new Date(nowAt + holdMinutes * MS_PER_MINUTE);
    const { organisationId } = principal;
    const now = new Date(nowAt);
    const booking: Booking = {
      organisationId,
      id: uuidv7(),
      fleetId,
      vehicleId,
      workshopId,
      ...timesOf(slot),
      externalKey: body.externalKey ?? null,
      state: provisionalUntil === null ? 'confirmed' : 'provisional',
      provisionalUntil,
      work,
      workMinutes: job.minutes,
      minutesBefore: minutesBetween(slot.bayFromAt, slot.startsAt),
      minutesAfter: minutesBetween(slot.endsAt, slot.bayUntilAt),
      cause: body.cause ?? 'planned',
      contact: body.contact ?? null,
      note: body.note ?? null,
      bookedBy: principal.actor,
      arrivedAt: null,
      workStartedAt: null,
      workPeriods: null,
      finishedAt: null,
      releasedAt: null,
      collectedAt: null,
      closedAt: null,
      closedReason: null,
      revision: 1,
      createdAt: now,
      updatedAt: now,
    };
    const answer = toBookingDto(booking, nowAt);
    // sent together, in this order; the first that fails takes the others back
    await onConstraint(
      () =>
        Promise.all([
          this.bookings.create(tx, booking),
          this.allocations.take(tx, booking, slot, provisionalUntil),
          this.record(tx, principal, 'booked', answer),
        ]),
      { ...GUARDS, bookings_external_key_key: () => bookingKeyTaken(body.externalKey ?? null) },
    );
    if (provisionalUntil !== null) {
      const lapsesAt = new Date(provisionalUntil.getTime() + LAPSE_AFTER_MS);
      await this.jobs.enqueue(tx, 'lapse-booking', { organisationId, bookingId: booking.id }, lapsesAt);
    }
    return answer;
  }

  /** Moves a booking, changes its length or its work, or gives it to another bay or other people. */
  async update(
    context: RequestContext,
    bookingId: string,
    revision: number,
    body: UpdateBookingDto,
  ): Promise<BookingDto> {
    const { principal } = context;
    const startsAt = body.startsAt === undefined ? null : this.startOf(body.startsAt);
    const seen = await this.transactions.read(principal, (tx) => this.require(tx, bookingId));
    return this.withFreeTimes(
      principal,
      {
        dueItemKeys: body.dueItemKeys ?? seen.work.items.map(({ dueItemKey }) => dueItemKey),
        extraWork: body.extraWork ?? seen.work.extra,
        workMinutes: body.workMinutes ?? seen.workMinutes,
        vehicleId: seen.vehicleId,
        workshopIds: [body.workshopId ?? seen.workshopId],
        startsAt: startsAt ?? seen.startsAt.getTime(),
        exceptBookingId: bookingId,
      },
      () =>
        this.transactions.write(context, async (tx) => {
          const booking = await this.lock(tx, seen);
          expectRevision(booking, revision);
          return this.change(tx, principal, booking, body, startsAt);
        }),
    );
  }

  /** The booking, taken for the transaction together with its vehicle. */
  async lock(tx: Tx, { id, vehicleId }: Pick<Booking, 'id' | 'vehicleId'>): Promise<Booking> {
    await this.places.lock(tx, vehicleId);
    const booking = await this.bookings.lock(tx, id);
    if (booking === null) throw notFound('booking', id);
    return booking;
  }

  async require(tx: Tx, bookingId: string): Promise<Booking> {
    const booking = await this.bookings.find(tx, bookingId);
    if (booking === null) throw notFound('booking', bookingId);
    return booking;
  }

  private async change(
    tx: Tx,
    principal: Principal,
    booking: Booking,
    body: UpdateBookingDto,
    startsAt: number | null,
  ): Promise<BookingDto> {
    const nowAt = await this.bookings.databaseNow(tx);
    const before = toBookingDto(booking, nowAt);
    const may = changeableIn(before.state);
    if (before.state === 'lapsed' && booking.provisionalUntil !== null) {
      throw provisionalRanOut(booking.provisionalUntil);
    }
    if (may === null) throw notChangeable(before.state);
    const moves =
      (body.workshopId ?? booking.workshopId) !== booking.workshopId ||
      (startsAt ?? booking.startsAt.getTime()) !== booking.startsAt.getTime();
    if (may !== 'everything' && moves) throw alreadyHere(before.state);

    const workNamed = body.dueItemKeys !== undefined || body.extraWork !== undefined;
    if (workNamed) {
      booking.work = wantedWork(
        {
          dueItemKeys: body.dueItemKeys ?? booking.work.items.map(({ dueItemKey }) => dueItemKey),
          extraWork: body.extraWork ?? booking.work.extra,
        },
        await this.dueItems.stored(tx, [booking.vehicleId]),
      );
    }
    booking.contact = body.contact === undefined ? booking.contact : body.contact;
    booking.note = body.note === undefined ? booking.note : body.note;
    booking.cause = body.cause ?? booking.cause;
    const minutes = body.workMinutes ?? (workNamed ? null : booking.workMinutes);
    const isPlacedAnew =
      moves ||
      workNamed ||
      minutes !== booking.workMinutes ||
      body.bayId !== undefined ||
      body.technicianIds !== undefined;
    if (isPlacedAnew) await this.placeAnew(tx, booking, body, startsAt, minutes);
    booking.revision += 1;
    const after = toBookingDto(await this.bookings.save(tx, booking), nowAt);
    await this.record(tx, principal, moves ? 'moved' : 'changed', after, before);
    return after;
  }

  private async placeAnew(
    tx: Tx,
    booking: Booking,
    body: UpdateBookingDto,
    startsAt: number | null,
    minutes: number | null,
  ): Promise<void> {
    const job = jobOfWork(booking.work, minutes);
    const workshopId = body.workshopId ?? booking.workshopId;
    const wanted = {
      vehicleId: booking.vehicleId,
      workshopId,
      job,
      startsAt: startsAt ?? booking.startsAt.getTime(),
      exceptBookingId: booking.id,
    };
    const slot = await this.placeLike(tx, booking, body, wanted);
    await this.allocations.giveUp(tx, booking.id);
    const heldUntil = booking.state === 'provisional' ? booking.provisionalUntil : null;
    Object.assign(booking, timesOf(slot), {
      workshopId,
      workMinutes: job.minutes,
      minutesBefore: minutesBetween(slot.bayFromAt, slot.startsAt),
      minutesAfter: minutesBetween(slot.endsAt, slot.bayUntilAt),
    });
    await onConstraint(() => this.allocations.take(tx, booking, slot, heldUntil), GUARDS);
  }

  // Bay and people stay where nobody asks for others and they are free then.
  private async placeLike(
    tx: Tx,
    booking: Booking,
    { bayId, technicianIds }: UpdateBookingDto,
    wanted: Omit<Parameters<BookingPlacerService['place']>[1], 'bayId' | 'technicianIds'>,
  ): Promise<Slot> {
    const sameWorkshop = wanted.workshopId === booking.workshopId;
    const asked = { bayId: bayId ?? null, technicianIds: technicianIds ?? null };
    const kept = {
      bayId: bayId === undefined ? booking.bayId : bayId,
      technicianIds: technicianIds === undefined ? booking.technicianIds : technicianIds,
    };
    if (!sameWorkshop) return this.placer.place(tx, { ...wanted, ...asked });
    try {
      return await this.transactions.savepoint(tx, (inner) =>
        this.placer.place(inner, { ...wanted, ...kept }),
      );
    } catch (error) {
      const isOnlyAWish = bayId === undefined || technicianIds === undefined;
      if (!(error instanceof CodedError) || error.code !== 'slot-taken' || !isOnlyAWish) throw error;
      return this.placer.place(tx, { ...wanted, ...asked });
    }
  }

  private async withFreeTimes<T>(
    principal: Principal,
    wanted: Parameters<FreeTimesService['nextFree']>[1],
    write: () => Promise<T>,
  ): Promise<T> {
    try {
      return await write();
    } catch (error) {
      if (!(error instanceof CodedError) || error.code !== 'slot-taken') throw error;
      throw withFreeTimes(error, await this.freeTimes.nextFree(principal, wanted));
    }
  }

  private startOf(text: string): number {
    const startsAt = parseInstant(text, 'startsAt');
    const nowAt = this.clock.now();
    if (startsAt % MS_PER_MINUTE !== 0) throw notAWholeMinute();
    if (startsAt < nowAt - MS_PER_DAY) throw tooLongAgo(text);
    if (startsAt > nowAt + FURTHEST_DAYS * MS_PER_DAY) throw tooFarAhead(FURTHEST_DAYS);
    return startsAt;
  }

  async record(
    tx: Tx,
    principal: Principal,
    action: string,
    after: BookingDto,
    before?: BookingDto,
  ): Promise<void> {
    const { id: subjectId, vehicleId } = after;
    const change = before === undefined ? { after } : { before, after };
    await this.audit.record(tx, principal, {
      action,
      subjectType: 'booking',
      subjectId,
      vehicleId,
      ...change,
    });
  }
}

function timesOf(
  slot: Slot,
): Pick<Booking, 'bayId' | 'technicianIds' | 'startsAt' | 'endsAt' | 'bayFromAt' | 'bayUntilAt' | 'pieces'> {
  return {
    bayId: slot.bayId,
    technicianIds: [...slot.technicianIds],
    startsAt: new Date(slot.startsAt),
    endsAt: new Date(slot.endsAt),
    bayFromAt: new Date(slot.bayFromAt),
    bayUntilAt: new Date(slot.bayUntilAt),
    pieces: slot.pieces.map(({ startsAt, endsAt }) => ({
      startsAt: new Date(startsAt).toISOString(),
      endsAt: new Date(endsAt).toISOString(),
    })),
  };
}

function minutesBetween(from: number, until: number): number {
  return Math.round((until - from) / MS_PER_MINUTE);
}
