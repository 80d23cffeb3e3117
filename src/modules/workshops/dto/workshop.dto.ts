import { ApiProperty } from '@nestjs/swagger';
import type { VehicleStay } from '../../../core/working-time/workshop';
import { weekdayHoursOf } from '../stored-hours';
import type { Workshop } from '../workshop.entity';
import { DayExceptionDto, WeekdayHoursDto } from './day-hours.dto';
import { VEHICLE_STAYS } from './write-workshop.dto';

/** A place where vehicles are worked on. */
export class WorkshopDto {
  id!: string;
  /** The operator's own key. */
  externalKey!: string | null;
  name!: string;
  /** IANA zone of its clock. */
  zone!: string;
  weeklyHours!: WeekdayHoursDto[];
  holidayRegion!: string | null;
  dayExceptions!: DayExceptionDto[];
  @ApiProperty({ enum: VEHICLE_STAYS })
  vehicleStay!: VehicleStay;
  minutesBefore!: number;
  minutesAfter!: number;
  gridMinutes!: number;
  signOffCompetence!: string | null;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  retiredOn!: string | null;
  revision!: number;
  createdAt!: string;
  updatedAt!: string;
}

export class WorkshopPageDto {
  items!: WorkshopDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export function toWorkshopDto(workshop: Workshop): WorkshopDto {
  return {
    id: workshop.id,
    externalKey: workshop.externalKey,
    name: workshop.name,
    zone: workshop.zone,
    weeklyHours: weekdayHoursOf(workshop.weeklyHours),
    holidayRegion: workshop.holidayRegion,
    dayExceptions: workshop.dayExceptions,
    vehicleStay: workshop.vehicleStay,
    minutesBefore: workshop.minutesBefore,
    minutesAfter: workshop.minutesAfter,
    gridMinutes: workshop.gridMinutes,
    signOffCompetence: workshop.signOffCompetence,
    retiredOn: workshop.retiredOn,
    revision: workshop.revision,
    createdAt: workshop.createdAt.toISOString(),
    updatedAt: workshop.updatedAt.toISOString(),
  };
}
