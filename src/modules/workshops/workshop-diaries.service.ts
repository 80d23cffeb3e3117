import { Injectable } from '@nestjs/common';
import { addDays, localDateAt } from '../../core/shared/calendar-date';
import type { Period } from '../../core/working-time/instant-set';
import type { Workshop as DiaryWorkshop } from '../../core/working-time/workshop';
import type { Tx } from '../../platform/database/transactions';
import { diaryWorkshop, type Taken } from './diary-workshop';
import { publicHolidays } from './public-holidays';
import type { Workshop } from './workshop.entity';
import { noSuchBay, noSuchTechnician, noSuchWorkshop } from './workshops.errors';
import type { WholeWorkshop } from './whole-workshop';
import { WorkshopsRepository } from './workshops.repository';

export type { WholeWorkshop } from './whole-workshop';

/** What a booking has taken for its transaction. */
export type LockedResources = WholeWorkshop;

/** Gives those who book what they need of workshops: hours, bays and people, as the search of a diary takes them. */
@Injectable()
export class WorkshopDiariesService {
  constructor(private readonly workshops: WorkshopsRepository) {}

  /** All workshops that take work. */
  idsInUse(tx: Tx): Promise<string[]> {
    return this.workshops.idsInUse(tx);
  }

  /** A workshop with all of its bays and people. */
  async find(tx: Tx, workshopId: string): Promise<WholeWorkshop | null> {
    const [whole] = await this.workshops.wholeWorkshops(tx, [workshopId]);
    return whole ?? null;
  }

  /**
   * Workshops with all of their bays and people, in the order of the ids.
   *
   * @param pointer of the one id, where it is not the list `#/workshopIds`
   * @throws CodedError naming the first that is not there
   */
  async whole(tx: Tx, workshopIds: readonly string[], pointer?: string): Promise<WholeWorkshop[]> {
    const found = await this.workshops.wholeWorkshops(tx, workshopIds);
    const missing = workshopIds.findIndex((id) => !found.some(({ workshop }) => workshop.id === id));
    if (missing >= 0) throw noSuchWorkshop(workshopIds[missing] ?? '', pointer ?? `#/workshopIds/${missing}`);
    return found;
  }

  /**
   * Takes for the transaction what a booking needs: the workshop so that its hours stay, bays, then people, each in
   * the order of their ids.
   *
   * @throws CodedError naming what the workshop does not have
   */
  async lock(
    tx: Tx,
    workshopId: string,
    bayId: string,
    technicianIds: readonly string[],
  ): Promise<LockedResources> {
    const locked = await this.workshops.lockForBooking(tx, workshopId, [bayId], technicianIds);
    if (locked === null) throw noSuchWorkshop(workshopId, '#/workshopId');
    if (locked.bays.length === 0) throw noSuchBay(bayId);
    const missing = technicianIds.findIndex((id) => !locked.technicians.some((one) => one.id === id));
    if (missing >= 0) throw noSuchTechnician(technicianIds[missing] ?? '', missing);
    return locked;
  }

  /** @param taken busy times of the bays and people, by their ids, in order of start */
  async toDiary(whole: WholeWorkshop, range: Period, taken: Taken): Promise<DiaryWorkshop> {
    return diaryWorkshop(whole, [...(await this.holidaysOf(whole.workshop, range)).keys()], range, taken);
  }

  /** Public holidays that a workshop keeps in a range, with their names. */
  holidaysOf(
    { holidayRegion, zone }: Pick<Workshop, 'holidayRegion' | 'zone'>,
    range: Period,
  ): Promise<Map<string, string>> {
    if (holidayRegion === null) return Promise.resolve(new Map<string, string>());
    return publicHolidays(
      holidayRegion,
      addDays(localDateAt(range.startsAt, zone), -2),
      addDays(localDateAt(range.endsAt, zone), 2),
    );
  }
}

/** Names of workshops, bays and people, by their ids. */
export function namesOf(whole: readonly WholeWorkshop[]): Map<string, string> {
  return new Map(
    whole.flatMap(({ workshop, bays, technicians }) =>
      [workshop, ...bays, ...technicians].map(({ id, name }) => [id, name] as const),
    ),
  );
}
