import { ApiProperty } from '@nestjs/swagger';
import {
  BOOKING_STATES,
  BOOKING_STEPS,
  stepsFrom,
  type BookingState,
  type BookingStep,
} from '../../../core/booking/booking-state';
import type { Consumable } from '../../../core/due/rule';
import type { Booking } from '../booking.entity';
import { BOOKING_CAUSES } from './write-booking.dto';

export class WorkPeriodDto {
  @ApiProperty({ format: 'date-time' })
  startsAt!: string;
  @ApiProperty({ format: 'date-time' })
  endsAt!: string;
}

/** Something that the work uses up. */
export class WorkConsumableDto {
  /** @example mineral-fluid */
  item!: string;
  quantity!: number;
  /** @example l */
  unit!: string;
}

export class BookedItemDto {
  /** Key of the due item, with `cycle` the piece of work. */
  dueItemKey!: string;
  cycle!: string;
  task!: string;
  title!: string;
  position!: string | null;
  safetyCritical!: boolean;
  minutes!: number;
  /** The programme says no minutes for it. */
  minutesAssumed!: boolean;
  @ApiProperty({ type: [String] })
  competences!: readonly string[];
  bayKind!: string | null;
  @ApiProperty({ type: [WorkConsumableDto] })
  consumables!: readonly Consumable[];
}

export class BookedExtraWorkDto {
  title!: string;
  minutes!: number;
  competences!: string[];
  bayKind!: string | null;
}

/** Work on one vehicle in one bay, by some people, at a time. */
export class BookingDto {
  id!: string;
  /** The caller's own key. */
  externalKey!: string | null;
  vehicleId!: string;
  fleetId!: string;
  workshopId!: string;
  bayId!: string;
  technicianIds!: string[];
  @ApiProperty({ enum: BOOKING_STATES })
  state!: BookingState;
  /** What can be done with it now. */
  @ApiProperty({ enum: BOOKING_STEPS, isArray: true })
  nextSteps!: BookingStep[];
  /** Until when the time is held, while it is provisional. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  provisionalUntil!: string | null;
  /** Start and end of the work. */
  @ApiProperty({ format: 'date-time' })
  startsAt!: string;
  @ApiProperty({ format: 'date-time' })
  endsAt!: string;
  /** The bay and the vehicle are taken from here, the minutes before and after the work included. */
  @ApiProperty({ format: 'date-time' })
  bayFromAt!: string;
  @ApiProperty({ format: 'date-time' })
  bayUntilAt!: string;
  /** When the people work; several where the job runs over breaks, nights or weekends. */
  pieces!: WorkPeriodDto[];
  workMinutes!: number;
  @ApiProperty({ enum: BOOKING_CAUSES })
  cause!: 'planned' | 'failure';
  items!: BookedItemDto[];
  extraWork!: BookedExtraWorkDto[];
  contact!: string | null;
  note!: string | null;
  bookedBy!: string;
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  arrivedAt!: string | null;
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  workStartedAt!: string | null;
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  finishedAt!: string | null;
  /** When the vehicle could go back to the road; null while it is held. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  releasedAt!: string | null;
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  collectedAt!: string | null;
  /** When it was cancelled, missed, or lapsed. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  closedAt!: string | null;
  closedReason!: string | null;
  revision!: number;
  @ApiProperty({ format: 'date-time' })
  createdAt!: string;
  @ApiProperty({ format: 'date-time' })
  updatedAt!: string;
}

export class BookingPageDto {
  items!: BookingDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** @param nowAt by the database's clock: a provisional booking lapses by it */
export function toBookingDto(booking: Booking, nowAt: number): BookingDto {
  const lapsed =
    booking.state === 'provisional' &&
    booking.provisionalUntil !== null &&
    booking.provisionalUntil.getTime() <= nowAt;
  const state = lapsed ? 'lapsed' : booking.state;
  const { items, extra } = booking.work;
  return {
    id: booking.id,
    externalKey: booking.externalKey,
    vehicleId: booking.vehicleId,
    fleetId: booking.fleetId,
    workshopId: booking.workshopId,
    bayId: booking.bayId,
    technicianIds: booking.technicianIds,
    state,
    nextSteps: stepsFrom(state),
    provisionalUntil: textOf(booking.provisionalUntil),
    startsAt: booking.startsAt.toISOString(),
    endsAt: booking.endsAt.toISOString(),
    bayFromAt: booking.bayFromAt.toISOString(),
    bayUntilAt: booking.bayUntilAt.toISOString(),
    pieces: booking.pieces,
    workMinutes: booking.workMinutes,
    cause: booking.cause,
    items,
    extraWork: extra,
    contact: booking.contact,
    note: booking.note,
    bookedBy: booking.bookedBy,
    arrivedAt: textOf(booking.arrivedAt),
    workStartedAt: textOf(booking.workStartedAt),
    finishedAt: textOf(booking.finishedAt),
    releasedAt: textOf(booking.releasedAt),
    collectedAt: textOf(booking.collectedAt),
    closedAt: lapsed ? textOf(booking.provisionalUntil) : textOf(booking.closedAt),
    closedReason: lapsed ? 'nobody confirmed it in time' : booking.closedReason,
    revision: booking.revision,
    createdAt: booking.createdAt.toISOString(),
    updatedAt: booking.updatedAt.toISOString(),
  };
}

function textOf(at: Date | null): string | null {
  return at === null ? null : at.toISOString();
}
