import { Injectable } from '@nestjs/common';
import type { Workshop } from '../../core/working-time/workshop';
import type { Tx } from '../../platform/database/transactions';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import { WorkshopDiariesService } from '../workshops/workshop-diaries.service';
import { BookingAllocationsRepository } from './booking-allocations.repository';
import { slotTaken } from './bookings.errors';
import { BookingsService } from './bookings.service';
import type { BookingDto } from './dto/booking.dto';
import { FreeTimesService } from './free-times.service';
import { wantedWork } from './wanted-work';

const MS_PER_DAY = 86_400_000;

/** Where the diary had room for a visit when it was planned. */
export interface PlannedPlace {
  startsAt: number;
  bayId: string;
  technicianIds: readonly string[];
}

/** A visit that somebody planned for a day. */
export interface PlannedBooking {
  vehicleId: string;
  workshopId: string;
  dueItemKeys: string[];
  note: string | null;
  /** the work begins and ends between these */
  fromAt: number;
  untilAt: number;
  /** null: the first time that is free */
  place: PlannedPlace | null;
}

/** A workshop with its hours and what is taken of them, for plans over many days. Plain data. */
export interface WorkshopTimes {
  name: string;
  booked: Workshop;
  /** the same without any booking */
  unbooked: Workshop;
}

/** The diary as plans see it: what is free over months, and visits that are booked for a day. */
@Injectable()
export class VisitBookingService {
  constructor(
    private readonly workshops: WorkshopDiariesService,
    private readonly allocations: BookingAllocationsRepository,
    private readonly bookings: BookingsService,
    private readonly freeTimes: FreeTimesService,
    private readonly dueItems: DueItemsService,
  ) {}

  /**
   * @param named workshops, whether they take work or not
   * @param andAllInUse whether every other one that takes work is wanted too, however many there are
   */
  async times(
    tx: Tx,
    { named, andAllInUse }: { named: readonly string[]; andAllInUse: boolean },
    fromAt: number,
    untilAt: number,
  ): Promise<WorkshopTimes[]> {
    const inUse = andAllInUse ? await this.workshops.idsInUse(tx) : [];
    const wanted = [...new Set([...named, ...inUse])].sort();
    if (wanted.length === 0) return [];
    const whole = await this.workshops.whole(tx, wanted);
    const range = { startsAt: fromAt - MS_PER_DAY, endsAt: untilAt + MS_PER_DAY };
    const taken = await this.allocations.takenAtWorkshops(tx, wanted, range, null);
    return Promise.all(
      whole.map(async (one): Promise<WorkshopTimes> => ({
        name: one.workshop.name,
        booked: await this.workshops.toDiary(one, range, taken),
        unbooked: await this.workshops.toDiary(one, range, new Map()),
      })),
    );
  }

  /**
   * Books the place that was planned, or the first time that is free between two moments, as the desk books.
   *
   * @throws CodedError `slot-taken` where none is, or somebody was faster
   */
  async book(tx: Tx, principal: Principal, planned: PlannedBooking): Promise<BookingDto> {
    const { vehicleId, workshopId, dueItemKeys, note } = planned;
    const { bayId, technicianIds, startsAt } = planned.place ?? (await this.firstFree(tx, planned));
    const wanted = { vehicleId, workshopId, dueItemKeys, bayId, technicianIds: [...technicianIds], note };
    return this.bookings.book(
      tx,
      principal,
      { ...wanted, startsAt: new Date(startsAt).toISOString() },
      startsAt,
    );
  }

  private async firstFree(tx: Tx, planned: PlannedBooking): Promise<PlannedPlace> {
    const { vehicleId, workshopId, dueItemKeys, fromAt, untilAt } = planned;
    const work = wantedWork({ dueItemKeys }, await this.dueItems.stored(tx, [vehicleId]));
    const { slots, because } = await this.freeTimes.between(tx, {
      vehicleId,
      workshopIds: [workshopId],
      work,
      fromAt,
      untilAt,
    });
    const [slot] = slots;
    if (slot === undefined) throw slotTaken(because);
    return slot;
  }
}
