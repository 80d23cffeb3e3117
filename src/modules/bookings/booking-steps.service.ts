import { Injectable } from '@nestjs/common';
import { stateAfter, type BookingStep } from '../../core/booking/booking-state';
import { parseInstant } from '../../core/shared/instant';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { expectRevision } from '../../platform/http/entity-tag';
import type { RequestContext } from '../../platform/http/request-context';
import { systemPrincipal, type Principal } from '../../platform/security/principal';
import { HoldStatusService } from '../due-items/hold-status.service';
import { BookingAllocationsRepository } from './booking-allocations.repository';
import type { Booking, WorkPeriod } from './booking.entity';
import {
  momentRefused,
  notHereYet,
  provisionalRanOut,
  stepNotPossible,
  stillOnHold,
} from './bookings.errors';
import { BookingsRepository } from './bookings.repository';
import { BookingsService } from './bookings.service';
import { toBookingDto, type BookingDto } from './dto/booking.dto';
import type { BookingMomentDto, CancelBookingDto, CollectBookingDto } from './dto/write-booking.dto';

// the clocks of two machines differ a little
const CLOCKS_DIFFER_MS = 60_000;

const ACTIONS: Readonly<Record<BookingStep, ActionOn<'booking'>>> = {
  confirm: 'confirmed',
  arrive: 'arrived',
  start: 'work-started',
  finish: 'finished',
  collect: 'collected',
  cancel: 'cancelled',
  miss: 'missed',
};

/** How the work on a vehicle ended. */
export interface FinishedWork {
  finishedAt: Date;
  /** the vehicle may go to the road */
  released: boolean;
  workPeriods: WorkPeriod[];
}

/** Takes a booking from state to state. */
@Injectable()
export class BookingStepsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly bookings: BookingsRepository,
    private readonly allocations: BookingAllocationsRepository,
    private readonly service: BookingsService,
    private readonly holds: HoldStatusService,
    private readonly clock: Clock,
  ) {}

  confirm(context: RequestContext, bookingId: string, revision: number): Promise<BookingDto> {
    return this.step(context, bookingId, revision, 'confirm', async (tx, booking) => {
      if (!(await this.allocations.makeFirm(tx, booking.id))) {
        throw provisionalRanOut(booking.provisionalUntil ?? new Date(this.clock.now()));
      }
    });
  }

  arrive(
    context: RequestContext,
    bookingId: string,
    revision: number,
    { at }: BookingMomentDto,
  ): Promise<BookingDto> {
    return this.step(context, bookingId, revision, 'arrive', (_, booking) => {
      booking.arrivedAt = this.momentOf(at, null, 'the booking');
    });
  }

  start(
    context: RequestContext,
    bookingId: string,
    revision: number,
    { at }: BookingMomentDto,
  ): Promise<BookingDto> {
    return this.step(context, bookingId, revision, 'start', (_, booking) => {
      booking.workStartedAt = this.momentOf(at, booking.arrivedAt, 'its arrival');
    });
  }

  /**
   * The vehicle leaves: on the road where nothing holds it; else only if somebody says how it leaves on hold.
   */
  collect(
    context: RequestContext,
    bookingId: string,
    revision: number,
    { at, leavesOnHold }: CollectBookingDto,
  ): Promise<BookingDto> {
    return this.step(context, bookingId, revision, 'collect', async (tx, booking) => {
      const [hold] = await this.holds.statusOf(tx, [booking.vehicleId]);
      const reasons = (hold?.status.reasons ?? []).filter(({ overriddenBy }) => overriddenBy === null);
      const leavesInTow = leavesOnHold ?? null;
      if (reasons.length > 0 && leavesInTow === null) {
        throw stillOnHold(reasons.map(({ sentence }) => sentence));
      }
      booking.collectedAt = this.momentOf(at, booking.finishedAt, 'the end of the work');
      if (reasons.length > 0) booking.closedReason = leavesInTow;
      else booking.releasedAt ??= booking.collectedAt;
    });
  }

  cancel(
    context: RequestContext,
    bookingId: string,
    revision: number,
    { reason }: CancelBookingDto,
  ): Promise<BookingDto> {
    return this.step(context, bookingId, revision, 'cancel', async (tx, booking) => {
      booking.closedAt = new Date(this.clock.now());
      booking.closedReason = reason;
      await this.allocations.giveUp(tx, booking.id);
    });
  }

  miss(context: RequestContext, bookingId: string, revision: number): Promise<BookingDto> {
    return this.step(context, bookingId, revision, 'miss', async (tx, booking) => {
      const now = new Date(this.clock.now());
      if (now < booking.startsAt) throw notHereYet(booking.startsAt);
      booking.closedAt = now;
      booking.closedReason = 'the vehicle did not come';
      await this.allocations.giveUp(tx, booking.id);
    });
  }

  /**
   * The work is done: in the transaction that completes the job. Time that was not needed is free again.
   *
   * @param booking locked, together with its vehicle
   */
  async finish(
    tx: Tx,
    principal: Principal,
    booking: Booking,
    { finishedAt, released, workPeriods }: FinishedWork,
  ): Promise<BookingDto> {
    return this.take(tx, principal, booking, 'finish', async () => {
      booking.finishedAt = finishedAt;
      booking.workPeriods = workPeriods;
      booking.releasedAt = released ? finishedAt : null;
      await this.allocations.endAt(tx, booking.id, finishedAt);
    });
  }

  /** Writes down that a provisional booking ran out; nothing where it was confirmed, moved on or cancelled. */
  lapse(organisationId: string, bookingId: string): Promise<void> {
    const principal = systemPrincipal(organisationId, 'provisional bookings');
    return this.transactions.run(principal, async (tx) => {
      const seen = await this.bookings.find(tx, bookingId);
      if (seen?.state !== 'provisional') return;
      const booking = await this.service.lock(tx, seen);
      const nowAt = await this.bookings.databaseNow(tx);
      const after = toBookingDto(booking, nowAt);
      if (booking.state !== 'provisional' || after.state !== 'lapsed') return;
      booking.state = 'lapsed';
      booking.closedAt = booking.provisionalUntil;
      booking.closedReason = after.closedReason;
      booking.revision += 1;
      await this.allocations.giveUp(tx, bookingId);
      await this.service.record(
        tx,
        principal,
        'lapsed',
        toBookingDto(await this.bookings.save(tx, booking), nowAt),
      );
    });
  }

  private async step(
    context: RequestContext,
    bookingId: string,
    revision: number,
    step: BookingStep,
    change: (tx: Tx, booking: Booking) => Promise<void> | void,
  ): Promise<BookingDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const seen = await this.service.require(tx, bookingId);
      const booking = await this.service.lock(tx, seen);
      expectRevision(booking, revision);
      return this.take(tx, principal, booking, step, () => change(tx, booking));
    });
  }

  private async take(
    tx: Tx,
    principal: Principal,
    booking: Booking,
    step: BookingStep,
    change: () => Promise<void> | void,
  ): Promise<BookingDto> {
    const nowAt = await this.bookings.databaseNow(tx);
    const before = toBookingDto(booking, nowAt);
    if (before.state === 'lapsed' && booking.provisionalUntil !== null) {
      throw provisionalRanOut(booking.provisionalUntil);
    }
    const state = stateAfter(before.state, step);
    if (state === null) throw stepNotPossible(step, before.state);
    await change();
    booking.state = state;
    booking.revision += 1;
    const after = toBookingDto(await this.bookings.save(tx, booking), nowAt);
    await this.service.record(tx, principal, ACTIONS[step], after, before);
    return after;
  }

  private momentOf(text: string | undefined, notBefore: Date | null, what: string): Date {
    const nowAt = this.clock.now();
    const at = text === undefined ? nowAt : parseInstant(text, 'at');
    if (at > nowAt + CLOCKS_DIFFER_MS) {
      throw momentRefused(`${text ?? ''} is still to come.`, 'give the moment at which it happened');
    }
    if (notBefore !== null && at < notBefore.getTime()) {
      throw momentRefused(
        `${new Date(at).toISOString()} is before ${what} (${notBefore.toISOString()}).`,
        'give a later moment',
      );
    }
    return new Date(at);
  }
}
