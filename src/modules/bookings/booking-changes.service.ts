import { Injectable } from '@nestjs/common';
import { changeableIn } from '../../core/booking/booking-state';
import type { Slot } from '../../core/working-time/workshop';
import { Clock } from '../../platform/clock/clock';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { CodedError } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import { bookedTimes } from './booked-times';
import type { BookedWork } from './booked-work';
import { BookingAllocationsRepository } from './booking-allocations.repository';
import { BookingPlacerService, type WantedSlot } from './booking-placer.service';
import type { Booking } from './booking.entity';
import { alreadyHere, GUARDS, notChangeable, provisionalRanOut } from './bookings.errors';
import { BookingsRepository } from './bookings.repository';
import { BookingsService } from './bookings.service';
import { toBookingDto, type BookingDto } from './dto/booking.dto';
import type { UpdateBookingDto } from './dto/write-booking.dto';
import { FreeTimesService } from './free-times.service';
import { jobOfWork } from './job-of-work';
import { wantedStart } from './wanted-start';
import { wantedWork } from './wanted-work';

/** Moves bookings, changes their length and their work, and gives them to other bays and people. */
@Injectable()
export class BookingChangesService {
  constructor(
    private readonly transactions: Transactions,
    private readonly records: BookingsRepository,
    private readonly allocations: BookingAllocationsRepository,
    private readonly bookings: BookingsService,
    private readonly placer: BookingPlacerService,
    private readonly freeTimes: FreeTimesService,
    private readonly dueItems: DueItemsService,
    private readonly clock: Clock,
  ) {}

  /** Moves a booking, changes its length or its work, or gives it to another bay or other people. */
  async update(
    context: RequestContext,
    bookingId: string,
    revision: number,
    body: UpdateBookingDto,
  ): Promise<BookingDto> {
    const { principal } = context;
    const startsAt = body.startsAt === undefined ? null : wantedStart(body.startsAt, this.clock.now());
    const seen = await this.transactions.read(principal, (tx) => this.bookings.require(tx, bookingId));
    return this.freeTimes.offeredWhereTaken(
      principal,
      {
        ...workToOffer(seen.work, body),
        workMinutes: body.workMinutes ?? seen.workMinutes,
        vehicleId: seen.vehicleId,
        workshopIds: [body.workshopId ?? seen.workshopId],
        startsAt: startsAt ?? seen.startsAt.getTime(),
        exceptBookingId: bookingId,
      },
      () =>
        this.transactions.write(context, async (tx) => {
          const booking = await this.bookings.lock(tx, seen);
          expectRevision(booking, revision);
          return this.change(tx, principal, booking, body, startsAt);
        }),
    );
  }

  private async change(
    tx: Tx,
    principal: Principal,
    booking: Booking,
    body: UpdateBookingDto,
    startsAt: number | null,
  ): Promise<BookingDto> {
    const nowAt = await this.records.databaseNow(tx);
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
    const after = toBookingDto(await this.records.save(tx, booking), nowAt);
    await this.bookings.record(tx, principal, moves ? 'moved' : 'changed', after, before);
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
    Object.assign(booking, bookedTimes(slot), {
      workshopId,
      workMinutes: job.minutes,
    });
    await onConstraint(() => this.allocations.take(tx, booking, slot, heldUntil), GUARDS);
  }

  // Bay and people stay where nobody asks for others and they are free then.
  private async placeLike(
    tx: Tx,
    booking: Booking,
    { bayId, technicianIds }: UpdateBookingDto,
    wanted: Omit<WantedSlot, 'bayId' | 'technicianIds'>,
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
}

// What was booked may have been settled since: for the offer it counts by what it needs, whatever is owed now.
function workToOffer(
  { items, extra }: BookedWork,
  { dueItemKeys, extraWork }: UpdateBookingDto,
): Pick<UpdateBookingDto, 'dueItemKeys' | 'extraWork'> {
  const asExtra = items.map(({ title, minutes, competences, bayKind }) => ({
    title,
    minutes,
    competences: [...competences],
    bayKind,
  }));
  return {
    dueItemKeys: dueItemKeys ?? [],
    extraWork: [...(dueItemKeys === undefined ? asExtra : []), ...(extraWork ?? extra)],
  };
}
