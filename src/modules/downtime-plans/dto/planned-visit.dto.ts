import { ApiProperty } from '@nestjs/swagger';
import type { VisitRow } from '../downtime-plans.repository';
import type { DepotAvailability, WorkshopLoad } from '../plan-views';
import { itemReasons, type ItemReason, type PlannedItem } from '../planned-item.entity';
import { acceptances, type Acceptance } from '../planned-visit.entity';

/** What would bring an item nearer to the day it is due. */
export class PlanRelaxationDto {
  /** What there would have to be. @example more working time of people competent in hydraulics */
  what!: string;
  /** What the vehicle's plan would cost less; whole hundredths of the currency. */
  savesMinor!: number;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  thenOn!: string | null;
}

/** A due item in a plan, and why it is on its day. */
export class PlannedItemDto {
  id!: string;
  vehicleId!: string;
  registrationMark!: string;
  dueItemKey!: string;
  cycle!: string;
  task!: string;
  title!: string;
  @ApiProperty({ nullable: true, type: String })
  position!: string | null;
  safetyCritical!: boolean;
  /** Minutes of work. */
  minutes!: number;
  @ApiProperty({ format: 'date' })
  dueOn!: string;
  @ApiProperty({ format: 'date' })
  earliestOn!: string;
  @ApiProperty({ format: 'date' })
  latestOn!: string;
  /** Null where it is left out. */
  @ApiProperty({ format: 'date', nullable: true, type: String })
  plannedOn!: string | null;
  @ApiProperty({ nullable: true, type: String })
  visitId!: string | null;
  @ApiProperty({ enum: itemReasons })
  reason!: ItemReason;
  /** The reason in words, with its numbers. */
  because!: string;
  relaxations!: PlanRelaxationDto[];
}

export class PlannedItemPageDto {
  items!: PlannedItemDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** A visit of a plan. */
export class PlannedVisitDto {
  id!: string;
  vehicleId!: string;
  registrationMark!: string;
  @ApiProperty({ nullable: true, type: String })
  fleetNumber!: string | null;
  depotId!: string;
  depotName!: string;
  workshopId!: string;
  workshopName!: string;
  /** The day of arrival, at the workshop. */
  @ApiProperty({ format: 'date' })
  on!: string;
  /** The last day. */
  @ApiProperty({ format: 'date' })
  lastOn!: string;
  /** When the work begins, as the diary had room for it; null where it had none on these days, which a lock can cause. */
  @ApiProperty({ nullable: true, type: String, format: 'date-time' })
  startsAt!: string | null;
  @ApiProperty({ nullable: true, type: String, format: 'date-time' })
  endsAt!: string | null;
  @ApiProperty({ nullable: true, type: String, format: 'uuid' })
  bayId!: string | null;
  /** Who is free for it throughout; technicians that are only assumed are not named. */
  technicianIds!: string[];
  workMinutes!: number;
  /** The visit itself; whole hundredths of the currency. */
  visitCostMinor!: number;
  /** Life given away and risk of its items. */
  itemCostMinor!: number;
  isLocked!: boolean;
  @ApiProperty({ enum: acceptances })
  acceptance!: Acceptance;
  @ApiProperty({ nullable: true, type: String })
  bookingId!: string | null;
  /** Why it could not be booked; else null. */
  @ApiProperty({ nullable: true, type: String })
  refusal!: string | null;
  items!: PlannedItemDto[];
}

export class PlannedVisitPageDto {
  items!: PlannedVisitDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** Vehicles of a depot on one day. */
export class AvailabilityDayDto {
  @ApiProperty({ format: 'date' })
  on!: string;
  vehicles!: number;
  neededOnRoad!: number;
  /** Off the road by what is booked already. */
  offRoadBefore!: number;
  /** The same with the plan. */
  offRoadAfter!: number;
}

export class DepotAvailabilityDto implements DepotAvailability {
  depotId!: string;
  name!: string;
  days!: AvailabilityDayDto[];
}

/** Bay minutes of a workshop in one week. */
export class WorkshopWeekDto {
  /** Its Monday. */
  @ApiProperty({ format: 'date' })
  weekOn!: string;
  /** Open and not booked before the plan. */
  freeMinutes!: number;
  bookedMinutes!: number;
  plannedMinutes!: number;
}

export class WorkshopLoadDto implements WorkshopLoad {
  workshopId!: string;
  name!: string;
  weeks!: WorkshopWeekDto[];
}

export class PlanViewsDto {
  depots!: DepotAvailabilityDto[];
  workshops!: WorkshopLoadDto[];
}

export function toPlannedItemDto(item: PlannedItem & { registrationMark: string }): PlannedItemDto {
  const { id, vehicleId, registrationMark, visitId, itemKey, reason, details } = item;
  return { id, vehicleId, registrationMark, dueItemKey: itemKey, visitId, reason, ...details };
}

export function toPlannedVisitDto(visit: VisitRow): PlannedVisitDto {
  const { id, vehicleId, registrationMark, fleetNumber, depotId, depotName, workshopId, workshopName } =
    visit;
  return {
    id,
    vehicleId,
    registrationMark,
    fleetNumber,
    depotId,
    depotName,
    workshopId,
    workshopName,
    on: visit.visitOn,
    lastOn: visit.untilOn,
    startsAt: visit.startsAt?.toISOString() ?? null,
    endsAt: visit.endsAt?.toISOString() ?? null,
    bayId: visit.bayId,
    technicianIds: visit.technicianIds,
    workMinutes: visit.workMinutes,
    visitCostMinor: visit.visitCostMinor,
    itemCostMinor: visit.itemCostMinor,
    isLocked: visit.locked,
    acceptance: visit.acceptance,
    bookingId: visit.bookingId,
    refusal: visit.refusal,
    items: visit.items.map((item) => toPlannedItemDto({ ...item, registrationMark })),
  };
}
