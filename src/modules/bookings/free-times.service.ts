import { Injectable } from '@nestjs/common';
import { localDateAt } from '../../core/shared/calendar-date';
import { parseInstant } from '../../core/shared/instant';
import { findSlots, type SlotAnswer } from '../../core/working-time/find-slots';
import { prepareDiary } from '../../core/working-time/prepare-diary';
import { searchDiary } from '../../core/working-time/search-diary';
import type { Slot, Workshop } from '../../core/working-time/workshop';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { bodyError, CodedError } from '../../platform/errors/coded-error';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import { VehiclePlacesService } from '../due-items/vehicle-places.service';
import { namesOf, WorkshopDiariesService } from '../workshops/workshop-diaries.service';
import { BookingAllocationsRepository } from './booking-allocations.repository';
import { moreWorkshopsThanSearched, withFreeTimes } from './bookings.errors';
import {
  MOST_WORKSHOPS,
  type FindFreeTimesDto,
  type FreeTimeDto,
  type FreeTimesDto,
} from './dto/free-times.dto';
import { jobOfWork, visitJobOf } from './job-of-work';
import { toFreeTimeDto, toNothingFreeDto, type NameOf } from './free-time-words';
import { suggestionsFor } from './visit-suggestions';
import { wantedWork } from './wanted-work';

const MS_PER_DAY = 86_400_000;
const DEFAULT_DAYS = 90;
const MOST_DAYS = 400;
/** How far beyond the range the first date is looked for at which it would fit. */
const SEARCHED_BEYOND_DAYS = 180;
const DEFAULT_COUNT = 5;
const SOON_DAYS = 14;

type Wanted = Pick<
  FindFreeTimesDto,
  'dueItemKeys' | 'extraWork' | 'workMinutes' | 'vehicleId' | 'workshopIds'
> & {
  startsAt: number;
  exceptBookingId: string | null;
};

interface Question {
  vehicleId: string;
  workshopIds: readonly string[];
  work: ReturnType<typeof wantedWork>;
  workMinutes: number | null;
  fromAt: number;
  untilAt: number;
  count: number;
  exceptBookingId: string | null;
}

/** Finds times at which a bay and people are free for the work that a vehicle owes. */
@Injectable()
export class FreeTimesService {
  constructor(
    private readonly transactions: Transactions,
    private readonly workshops: WorkshopDiariesService,
    private readonly allocations: BookingAllocationsRepository,
    private readonly places: VehiclePlacesService,
    private readonly dueItems: DueItemsService,
    private readonly clock: Clock,
  ) {}

  search({ principal }: RequestContext, body: FindFreeTimesDto): Promise<FreeTimesDto> {
    const range = this.rangeOf(body);
    const { vehicleId, workMinutes = null, count = DEFAULT_COUNT } = body;
    return this.transactions.read(principal, async (tx) => {
      const place = await this.places.require(tx, vehicleId);
      const rows = await this.dueItems.stored(tx, [vehicleId]);
      const work = wantedWork(body, rows);
      const workshopIds = body.workshopIds ?? (await this.workshops.idsInUse(tx));
      if (workshopIds.length > MOST_WORKSHOPS)
        throw moreWorkshopsThanSearched(workshopIds.length, MOST_WORKSHOPS);
      const { answer, workshops, nameOf } = await this.ask(tx, {
        vehicleId,
        workshopIds,
        work,
        workMinutes,
        ...range,
        count,
        exceptBookingId: null,
      });
      const [first] = answer.slots;
      const visitAt = first?.startsAt ?? answer.nothingFree?.firstFit?.startsAt ?? range.fromAt;
      return {
        vehicleId,
        registrationMark: rows[0]?.registrationMark ?? '',
        fromAt: new Date(range.fromAt).toISOString(),
        untilAt: new Date(range.untilAt).toISOString(),
        items: work.items,
        extraWork: work.extra,
        job: visitJobOf(work, workMinutes),
        freeTimes: this.worded(answer, workshops, nameOf),
        nothingFree: toNothingFreeDto(answer.nothingFree, workshops, nameOf),
        suggestions: suggestionsFor(
          rows,
          await this.dueItems.baselines(tx, vehicleId),
          work,
          localDateAt(visitAt, place.zone),
        ),
      };
    });
  }

  /** The first time for a vehicle's work between two moments, or what is in the way. */
  async between(
    tx: Tx,
    question: Pick<Question, 'vehicleId' | 'workshopIds' | 'work' | 'fromAt' | 'untilAt'>,
  ): Promise<{ slots: readonly Slot[]; because: string[] }> {
    const { answer, workshops, nameOf } = await this.ask(tx, {
      ...question,
      workMinutes: null,
      count: 1,
      exceptBookingId: null,
    });
    const nothing = toNothingFreeDto(answer.nothingFree, workshops, nameOf);
    return { slots: answer.slots, because: nothing === null ? [] : [nothing.sentence] };
  }

  /** The next times at which wanted work fits, for a caller whose time is taken. */
  private nextFree(principal: Principal, wanted: Wanted): Promise<FreeTimeDto[]> {
    const fromAt = Math.max(wanted.startsAt, this.clock.now());
    return this.transactions.read(principal, async (tx) => {
      const work = wantedWork(wanted, await this.dueItems.stored(tx, [wanted.vehicleId]));
      const workshopIds = wanted.workshopIds ?? [];
      const { answer, workshops, nameOf } = await this.ask(tx, {
        vehicleId: wanted.vehicleId,
        workshopIds,
        work,
        workMinutes: wanted.workMinutes ?? null,
        fromAt,
        untilAt: fromAt + DEFAULT_DAYS * MS_PER_DAY,
        count: DEFAULT_COUNT,
        exceptBookingId: wanted.exceptBookingId,
      });
      return this.worded(answer, workshops, nameOf);
    });
  }

  /** Writes, and offers the next free times to whoever comes too late for the one that is wanted. */
  async offeredWhereTaken<T>(principal: Principal, wanted: Wanted, write: () => Promise<T>): Promise<T> {
    try {
      return await write();
    } catch (error) {
      if (!(error instanceof CodedError) || error.code !== 'slot-taken') throw error;
      throw withFreeTimes(error, await this.nextFree(principal, wanted));
    }
  }

  private async ask(
    tx: Tx,
    { vehicleId, workshopIds, work, workMinutes, exceptBookingId, ...range }: Question,
  ): Promise<{ answer: SlotAnswer; workshops: Workshop[]; nameOf: NameOf }> {
    const whole = await this.workshops.whole(tx, workshopIds);
    const job = jobOfWork(work, workMinutes);
    const within = async (untilAt: number, searchUntilAt: number) => {
      const covered = { startsAt: range.fromAt - MS_PER_DAY, endsAt: searchUntilAt + MS_PER_DAY };
      const [taken, ofVehicle] = await Promise.all([
        this.allocations.takenAtWorkshops(tx, workshopIds, covered, exceptBookingId),
        this.allocations.taken(tx, [vehicleId], covered, exceptBookingId),
      ]);
      const workshops = await Promise.all(whole.map((one) => this.workshops.toDiary(one, covered, taken)));
      return { workshops, vehicleBusy: ofVehicle.get(vehicleId) ?? [], untilAt, searchUntilAt };
    };
    // most callers hear of times within two weeks: the bookings of months are read for the others only
    const soonUntilAt = Math.min(range.untilAt, range.fromAt + SOON_DAYS * MS_PER_DAY);
    const soon = await within(soonUntilAt, soonUntilAt);
    const found = searchDiary(prepareDiary(soon.workshops, range.fromAt, soonUntilAt), {
      job,
      ...range,
      ...soon,
    });
    if (found.length === range.count) {
      const answer = { slots: found, nothingFree: null };
      return { answer, workshops: soon.workshops, nameOf: namesOf(whole) };
    }
    const all = await within(range.untilAt, range.untilAt + SEARCHED_BEYOND_DAYS * MS_PER_DAY);
    const answer = findSlots({ job, ...range, ...all });
    const { workshops } = all;
    return { answer, workshops, nameOf: namesOf(whole) };
  }

  private worded({ slots }: SlotAnswer, workshops: readonly Workshop[], nameOf: NameOf): FreeTimeDto[] {
    return slots.map((slot) => toFreeTimeDto(slot, workshops, nameOf));
  }

  private rangeOf({ fromAt, untilAt }: FindFreeTimesDto): { fromAt: number; untilAt: number } {
    const nowAt = this.clock.now();
    const from = Math.max(fromAt === undefined ? nowAt : parseInstant(fromAt, 'fromAt'), nowAt);
    const until = untilAt === undefined ? from + DEFAULT_DAYS * MS_PER_DAY : parseInstant(untilAt, 'untilAt');
    if (until <= from) {
      throw bodyError('#/untilAt', 'The range is over before it begins, or has passed.', 'give a later end');
    }
    if (until > from + MOST_DAYS * MS_PER_DAY) {
      throw bodyError('#/untilAt', `The range is longer than ${MOST_DAYS} days.`, 'give an earlier end');
    }
    return { fromAt: from, untilAt: until };
  }
}
