import { ApiProperty } from '@nestjs/swagger';
import { IsIn, IsOptional, IsUUID } from 'class-validator';
import { IsInstant } from '../../../platform/http/is-instant';
import { MayBeAbsent } from '../../../platform/http/optional-fields';
import { PageQueryDto } from '../../../platform/http/page-query.dto';

export class ListDowntimeQueryDto extends PageQueryDto {
  @IsOptional()
  @IsUUID()
  vehicleId?: string;

  @IsOptional()
  @IsUUID()
  fleetId?: string;

  @IsOptional()
  @IsUUID()
  depotId?: string;

  @IsOptional()
  @IsUUID()
  workshopId?: string;

  /** Only what was still down after this moment. */
  @IsOptional()
  @IsInstant()
  @ApiProperty({ format: 'date-time', maxLength: 40 })
  fromAt?: string;

  /** Only what went down before this moment. */
  @IsOptional()
  @IsInstant()
  @ApiProperty({ format: 'date-time', maxLength: 40 })
  untilAt?: string;
}

export const INDICATOR_GROUPS = ['none', 'fleet', 'depot', 'vehicle', 'workshop'] as const;

export type IndicatorGroup = (typeof INDICATOR_GROUPS)[number];

export class IndicatorsQueryDto {
  /** Start of the period; left out, 90 days before its end. */
  @MayBeAbsent()
  @IsInstant()
  @ApiProperty({ format: 'date-time', maxLength: 40 })
  fromAt?: string;

  /** End of the period; left out, now. At most 400 days after the start, and not in the future. */
  @MayBeAbsent()
  @IsInstant()
  @ApiProperty({ format: 'date-time', maxLength: 40 })
  untilAt?: string;

  /** Fleet and depot are those to which a vehicle belongs today. `workshop` tells what each workshop repaired. */
  @MayBeAbsent()
  @IsIn(INDICATOR_GROUPS)
  @ApiProperty({ enum: INDICATOR_GROUPS })
  groupBy?: IndicatorGroup;

  @IsOptional()
  @IsUUID()
  fleetId?: string;

  @IsOptional()
  @IsUUID()
  depotId?: string;

  @IsOptional()
  @IsUUID()
  vehicleId?: string;
}

/** How long a vehicle was down in a workshop: from its arrival until it could go back to the road. */
export class DowntimeRecordDto {
  bookingId!: string;
  vehicleId!: string;
  registrationMark!: string;
  fleetId!: string;
  depotId!: string;
  workshopId!: string;
  @ApiProperty({ enum: ['planned', 'failure'] })
  cause!: 'planned' | 'failure';
  @ApiProperty({ format: 'date-time' })
  arrivedAt!: string;
  /**
   * End of the down time. Null while it is down: under way, or held. A vehicle that left on hold is down until it comes
   * again; one that was turned away after it had arrived, until then.
   */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  releasedAt!: string | null;
  totalMinutes!: number;
  /**
   * Active maintenance time: while at least one person worked. Before the job is signed off, all the time since the work
   * began.
   */
  activeMinutes!: number;
  /** The rest: waiting for people, parts, the next morning. */
  waitingMinutes!: number;
  /** Of all people together; one person before the job is signed off. */
  labourMinutes!: number;
}

export class DowntimePageDto {
  items!: DowntimeRecordDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/**
 * Indicators of maintenance over a period. Numbers of EN 15341:2007 in brackets; formulas from memory. Null where the
 * divisor is zero: no failure means no mean time. Percentages from 0 to 100.
 */
export class IndicatorsDto {
  /** Id of the fleet, depot, vehicle or workshop; null for all together. */
  id!: string | null;
  /** Its name, or the registration mark. */
  name!: string | null;
  /** Vehicles that were in the fleet in some part of the period; of a workshop those that were down there. */
  vehicles!: number;
  /**
   * Required time: while a vehicle was in the fleet, round the clock, without its off-road days; down time on these does
   * not count either. Null for a workshop, as are the figures that follow from it: vehicles are required, workshops are
   * not.
   */
  requiredMinutes!: number | null;
  /** Required time without down time. */
  operatingMinutes!: number | null;
  /**
   * Failures that took a vehicle to the workshop in the period. Stays of a vehicle without a release between them are one:
   * what is down cannot fail again.
   */
  failures!: number;
  failureDowntimeMinutes!: number;
  plannedDowntimeMinutes!: number;
  /** Operating time ÷ failures (T17). */
  meanOperatingMinutesBetweenFailures!: number | null;
  /** Time to restoration ÷ failures (T21). */
  meanMinutesToRestoration!: number | null;
  /** Operating time ÷ (operating time + all down time for maintenance) (T1). */
  availabilityAgainstMaintenancePercent!: number | null;
  /** Up time achieved during required time ÷ required time (T2). */
  availabilityInRequiredTimePercent!: number | null;
  /** Operating time ÷ (operating time + down time from failures) (T6). */
  availabilityAgainstFailuresPercent!: number | null;
  /** Operating time ÷ (operating time + down time for planned maintenance) (T7). */
  availabilityAgainstPlannedMaintenancePercent!: number | null;
  /** Corrective ÷ total labour (O16), of jobs that are signed off and were to start in the period. */
  correctiveLabourPercent!: number | null;
  /** Preventive ÷ total labour (O18). */
  preventiveLabourPercent!: number | null;
  /**
   * Bookings on whose local day the work began ÷ firm bookings that were to start in the period (O22). A booking that was
   * moved counts for the day to which it was moved. One that was cancelled or missed was not kept, whoever gave it up; one
   * that was given up while it was held for a caller never was firm.
   */
  scheduleKeptPercent!: number | null;
}

export class MaintenanceIndicatorsDto {
  @ApiProperty({ format: 'date-time' })
  fromAt!: string;
  @ApiProperty({ format: 'date-time' })
  untilAt!: string;
  items!: IndicatorsDto[];
}
