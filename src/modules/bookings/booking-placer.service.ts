import { Injectable } from '@nestjs/common';
import { checkSlot } from '../../core/working-time/check-slot';
import { prepareDiary } from '../../core/working-time/prepare-diary';
import { slotStartingAt } from '../../core/working-time/slot-starting-at';
import type { Job, Slot } from '../../core/working-time/workshop';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { namesOf, WorkshopDiariesService } from '../workshops/workshop-diaries.service';
import { BookingAllocationsRepository } from './booking-allocations.repository';
import { slotTaken } from './bookings.errors';
import { refusalSentences } from './refusal-sentences';
import type { WholeWorkshop } from '../workshops/workshop-diaries.service';

const MS_PER_DAY = 86_400_000;
/** From the start of a job, over nights and weekends, until its end. */
const LONGEST_VISIT_DAYS = 60;
// between the choice and the lock somebody else may have been faster
const CHOICES = 3;

/** A time that is wanted for a vehicle, and by whom and where the work is to be done as far as that is said. */
export interface WantedSlot {
  vehicleId: string;
  workshopId: string;
  job: Job;
  startsAt: number;
  /** null: whichever is best */
  bayId: string | null;
  technicianIds: readonly string[] | null;
  /** a booking that is being moved and does not stand in its own way */
  exceptBookingId: string | null;
}

/**
 * Finds out under lock whether a time is free. The vehicle is locked by the caller before; then the workshop (so
 * that its hours stay), the bay and the people, each in the order of their ids: everybody takes them in this order,
 * so that nobody waits in a circle. The database's constraint stands behind it.
 */
@Injectable()
export class BookingPlacerService {
  constructor(
    private readonly transactions: Transactions,
    private readonly workshops: WorkshopDiariesService,
    private readonly allocations: BookingAllocationsRepository,
  ) {}

  /** @throws CodedError `slot-taken` that names everything in the way */
  async place(tx: Tx, wanted: WantedSlot): Promise<Slot> {
    const { bayId, technicianIds } = wanted;
    if (bayId !== null && technicianIds !== null) {
      const { slot, because } = await this.check(tx, wanted, bayId, technicianIds);
      if (slot === null) throw slotTaken(because);
      return slot;
    }
    for (let choice = 1; choice <= CHOICES; choice++) {
      const chosen = await this.choose(tx, wanted);
      if (chosen === null) break;
      // what was locked for a choice that came too late must not be kept: it would be out of order
      const slot = await this.transactions
        .savepoint(tx, async (inner) => {
          const checked = await this.check(inner, wanted, chosen.bayId, chosen.technicianIds);
          if (checked.slot === null) throw new ChosenTooLate();
          return checked.slot;
        })
        .catch((error: unknown) => {
          if (error instanceof ChosenTooLate) return null;
          throw error;
        });
      if (slot !== null) return slot;
    }
    throw slotTaken([]);
  }

  private async choose(tx: Tx, wanted: WantedSlot): Promise<Slot | null> {
    const { vehicleId, workshopId, job, startsAt, bayId, technicianIds, exceptBookingId } = wanted;
    const range = rangeAround(startsAt);
    const [whole, taken, ofVehicle] = await Promise.all([
      this.workshops.whole(tx, [workshopId], '#/workshopId'),
      this.allocations.takenAtWorkshops(tx, [workshopId], range, exceptBookingId),
      this.allocations.taken(tx, [vehicleId], range, exceptBookingId),
    ]);
    const workshop = await this.workshops.toDiary(whole[0] as WholeWorkshop, range, taken);
    const narrowed = {
      ...workshop,
      bays: workshop.bays.filter(({ id }) => bayId === null || id === bayId),
      technicians: workshop.technicians.filter(({ id }) => technicianIds?.includes(id) ?? true),
    };
    const diary = prepareDiary([narrowed], range.startsAt, range.endsAt);
    return slotStartingAt(diary, job, startsAt, ofVehicle.get(vehicleId) ?? []);
  }

  private async check(
    tx: Tx,
    { vehicleId, workshopId, job, startsAt, exceptBookingId }: WantedSlot,
    bayId: string,
    technicianIds: readonly string[],
  ): Promise<{ slot: Slot | null; because: string[] }> {
    const resourceIds = [vehicleId, bayId, ...technicianIds];
    const range = rangeAround(startsAt);
    const locked = await this.workshops.lock(tx, workshopId, bayId, technicianIds);
    // sent together, once everything is locked
    const [, taken] = await Promise.all([
      this.allocations.giveUpLapsed(tx, resourceIds),
      this.allocations.taken(tx, resourceIds, range, exceptBookingId),
    ]);
    const workshop = await this.workshops.toDiary(locked, range, taken);
    const result = checkSlot(workshop, {
      job,
      startsAt,
      bayId,
      technicianIds,
      vehicleBusy: taken.get(vehicleId) ?? [],
    });
    if (result.slot !== null) return { slot: result.slot, because: [] };
    return {
      slot: null,
      because: refusalSentences(result.refusals, namesOf([locked]), locked.workshop.zone),
    };
  }
}

class ChosenTooLate extends Error {}

function rangeAround(startsAt: number): { startsAt: number; endsAt: number } {
  return { startsAt: startsAt - MS_PER_DAY, endsAt: startsAt + LONGEST_VISIT_DAYS * MS_PER_DAY };
}
