import { ApiProperty } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import {
  ArrayMaxSize,
  ArrayMinSize,
  ArrayUnique,
  IsArray,
  IsIn,
  IsInt,
  IsObject,
  IsString,
  IsUUID,
  Length,
  Max,
  Min,
  ValidateNested,
} from 'class-validator';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { IsCode } from '../../../platform/http/is-code';
import { MayBeAbsent } from '../../../platform/http/optional-fields';
import { planEfforts, type PlanEffort } from '../downtime-plan.entity';

/** A visit that stays as it is: locked where it was planned, or moved to another day or workshop. */
export class LockedVisitDto {
  @IsUUID()
  vehicleId!: string;

  @IsUUID()
  workshopId!: string;

  /** The day of arrival, at the workshop. */
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  on!: string;

  /** Keys of the due items that are done then. */
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(60)
  @ArrayUnique()
  @IsString({ each: true })
  @Length(1, 200, { each: true })
  dueItemKeys!: string[];
}

/** A day on which a vehicle stays on the road, in this plan. */
export class ForbiddenDayDto {
  @IsUUID()
  vehicleId!: string;

  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  on!: string;
}

/** What the planner decided by hand. */
export class PlanWishesDto {
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(1_000)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => LockedVisitDto)
  locked?: LockedVisitDto[];

  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(1_000)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => ForbiddenDayDto)
  forbidden?: ForbiddenDayDto[];
}

export const assumptionKinds = ['more-technicians', 'bay-closed', 'roster-need', 'later-limit'] as const;

/** Something that is not so and is planned as if it were: what if. Which fields it takes depends on its kind. */
export class PlanAssumptionDto {
  /**
   * `more-technicians`: workshopId, count, competences. `bay-closed`: workshopId, bayId, fromOn, untilOn. `roster-need`:
   * depotId, change. `later-limit`: task, days.
   */
  @IsIn(assumptionKinds)
  kind!: (typeof assumptionKinds)[number];

  @MayBeAbsent()
  @IsUUID()
  workshopId?: string;

  /** People who work as long as the workshop is open. */
  @MayBeAbsent()
  @IsInt()
  @Min(1)
  @Max(50)
  count?: number;

  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(20)
  @ArrayUnique()
  @IsString({ each: true })
  @Length(1, 60, { each: true })
  competences?: string[];

  @MayBeAbsent()
  @IsUUID()
  bayId?: string;

  /** First day on which the bay is closed. */
  @MayBeAbsent()
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  fromOn?: string;

  /** First day on which it is open again. */
  @MayBeAbsent()
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  untilOn?: string;

  @MayBeAbsent()
  @IsUUID()
  depotId?: string;

  /** Vehicles needed on the road more than the roster says, every day; less where it is below 0. */
  @MayBeAbsent()
  @IsInt()
  @Min(-1000)
  @Max(1000)
  change?: number;

  /** Code of the task whose late limit is moved. */
  @MayBeAbsent()
  @IsCode()
  task?: string;

  /** Days by which it is moved. */
  @MayBeAbsent()
  @IsInt()
  @Min(-365)
  @Max(365)
  days?: number;
}

export class CreateDowntimePlanDto {
  /** The fleet; left out only with `basedOnId`. */
  @MayBeAbsent()
  @IsUUID()
  fleetId?: string;

  /** Depots of the fleet; left out, all of them. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(500)
  @ArrayUnique()
  @IsUUID(undefined, { each: true })
  depotIds?: string[];

  /** @example Winter quarter */
  @MayBeAbsent()
  @IsString()
  @Length(1, 120)
  name?: string;

  /** First day; left out, tomorrow at the first depot. */
  @MayBeAbsent()
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  fromOn?: string;

  /** How many days; left out, as the planning settings say. */
  @MayBeAbsent()
  @IsInt()
  @Min(7)
  @Max(366)
  days?: number;

  /** How long it is searched for a better plan. */
  @MayBeAbsent()
  @IsIn(planEfforts)
  effort?: PlanEffort;

  /** The same records, effort and seed give the same plan. */
  @MayBeAbsent()
  @IsInt()
  @Min(1)
  @Max(2_000_000_000)
  seed?: number;

  /** A plan to plan again, or to change: whatever is left out here is taken from it. */
  @MayBeAbsent()
  @IsUUID()
  basedOnId?: string;

  /** Visits that stay and days that are forbidden; left out, those of `basedOnId`. */
  @MayBeAbsent()
  @IsObject()
  @ValidateNested()
  @Type(() => PlanWishesDto)
  wishes?: PlanWishesDto;

  /** What is planned as if it were so; left out, as in `basedOnId`. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(50)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => PlanAssumptionDto)
  assumptions?: PlanAssumptionDto[];
}

export class AcceptDowntimePlanDto {
  /** Visits that become bookings; left out, all that are not booked yet. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(5_000)
  @ArrayUnique()
  @IsUUID(undefined, { each: true })
  visitIds?: string[];
}
