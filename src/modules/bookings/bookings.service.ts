import { Injectable } from '@nestjs/common';
import { v7 as uuidv7 } from 'uuid';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import { Clock } from '../../platform/clock/clock';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import { Jobs } from '../../platform/jobs/jobs';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import { VehiclePlacesService } from '../due-items/vehicle-places.service';
import { bookedTimes } from './booked-times';
import { BookingAllocationsRepository } from './booking-allocations.repository';
import { BookingPlacerService } from './booking-placer.service';
import type { Booking } from './booking.entity';
import { bookingKeyTaken, GUARDS } from './bookings.errors';
import { BookingsRepository } from './bookings.repository';
import type { ListBookingsQueryDto } from './dto/booking-params.dto';
import { toBookingDto, type BookingDto } from './dto/booking.dto';
import type { CreateBookingDto } from './dto/write-booking.dto';
import { FreeTimesService } from './free-times.service';
import { jobOfWork } from './job-of-work';
import { wantedStart } from './wanted-start';
import { wantedWork } from './wanted-work';

const MS_PER_MINUTE = 60_000;
// a job starts a little after its moment, so that the moment has passed by the database's clock
const LAPSE_AFTER_MS = 2_000;

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
    const startsAt = wantedStart(body.startsAt, this.clock.now());
    return this.freeTimes.offeredWhereTaken(
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
      ...bookedTimes(slot),
      externalKey: body.externalKey ?? null,
      state: provisionalUntil === null ? 'confirmed' : 'provisional',
      provisionalUntil,
      work,
      workMinutes: job.minutes,
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

  /** Writes a change of a booking into the audit trail. */
  async record(
    tx: Tx,
    principal: Principal,
    action: ActionOn<'booking'>,
    after: BookingDto,
    before?: BookingDto,
  ): Promise<void> {
    const { id: subjectId, vehicleId, workshopId } = after;
    const change = before === undefined ? { after } : { before, after };
    await this.audit.record(tx, principal, {
      action,
      subjectType: 'booking',
      subjectId,
      vehicleId,
      workshopId,
      ...change,
    });
  }
}
