import { Injectable } from '@nestjs/common';
import { checkSlot } from '../../core/working-time/check-slot';
import { Clock } from '../../platform/clock/clock';
import { Transactions } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import type { RequestContext } from '../../platform/http/request-context';
import { namesOf, WorkshopDiariesService } from '../workshops/workshop-diaries.service';
import { BookingsRepository } from './bookings.repository';
import type { BookingConflictsDto } from './dto/booking-conflicts.dto';
import { toBookingDto } from './dto/booking.dto';
import { jobOfWork } from './job-of-work';
import { refusalSentences } from './refusal-sentences';

const MS_PER_DAY = 86_400_000;
const MOST_BOOKINGS = 1_000;
const NOTHING_TAKEN = new Map<string, never[]>();

/** Finds bookings that hours, closures, absences or lost competences have overtaken. */
@Injectable()
export class BookingConflictsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly workshops: WorkshopDiariesService,
    private readonly bookings: BookingsRepository,
    private readonly clock: Clock,
  ) {}

  ofWorkshop({ principal }: RequestContext, workshopId: string): Promise<BookingConflictsDto> {
    return this.transactions.read(principal, async (tx) => {
      const whole = await this.workshops.find(tx, workshopId);
      if (whole === null) throw notFound('workshop', workshopId);
      const nowAt = await this.bookings.databaseNow(tx);
      const upcoming = await this.bookings.upcoming(
        tx,
        workshopId,
        new Date(this.clock.now()).toISOString(),
        MOST_BOOKINGS,
      );
      const last = upcoming.reduce(
        (until, { endsAt }) => Math.max(until, endsAt.getTime()),
        this.clock.now(),
      );
      const range = { startsAt: this.clock.now() - MS_PER_DAY, endsAt: last + MS_PER_DAY };
      // bookings do not stand in each other's way: the database sees to that
      const workshop = await this.workshops.toDiary(whole, range, NOTHING_TAKEN);
      const names = namesOf([whole]);
      const items = upcoming.flatMap((booking) => {
        const { slot, refusals } = checkSlot(workshop, {
          job: jobOfWork(booking.work, booking.workMinutes),
          startsAt: booking.startsAt.getTime(),
          bayId: booking.bayId,
          technicianIds: booking.technicianIds,
          vehicleBusy: [],
        });
        if (slot !== null && slot.endsAt === booking.endsAt.getTime()) return [];
        const because =
          slot === null
            ? refusalSentences(refusals, names, whole.workshop.zone)
            : [`By the hours as they are now the work would end at ${new Date(slot.endsAt).toISOString()}.`];
        return [{ booking: toBookingDto(booking, nowAt), because }];
      });
      return { workshopId, items };
    });
  }
}
