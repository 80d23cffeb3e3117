import { OmitType } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import { ArrayMaxSize, IsArray, IsObject, IsString, Length, ValidateNested } from 'class-validator';
import { MayBeAbsent } from '../../../platform/http/optional-fields';
import { CreateBlackoutPeriodDto } from '../../blackout-periods/dto/write-blackout-period.dto';
import { CreateBookingDto } from '../../bookings/dto/write-booking.dto';
import { CreateDepotDto } from '../../depots/dto/write-depot.dto';
import { CreateFleetDto } from '../../fleets/dto/write-fleet.dto';
import { ReplaceRosterDto } from '../../roster-needs/dto/write-roster.dto';
import { CreateSystemTestDto } from '../../system-tests/dto/write-system-test.dto';
import { WeekdayHoursDto } from '../../workshops/dto/day-hours.dto';
import { CreateWorkshopDto } from '../../workshops/dto/write-workshop.dto';

export class FleetLine extends OmitType(CreateFleetDto, ['externalKey']) {
  @IsString()
  @Length(1, 100)
  externalKey!: string;
}

export class DepotLine extends OmitType(CreateDepotDto, ['externalKey', 'fleetId']) {
  @IsString()
  @Length(1, 100)
  externalKey!: string;

  @IsString()
  @Length(1, 100)
  fleetKey!: string;
}

export class WorkshopLine extends OmitType(CreateWorkshopDto, ['externalKey', 'weeklyHours']) {
  @IsString()
  @Length(1, 100)
  externalKey!: string;

  /** only a workshop that is on file already can do without */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(7)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => WeekdayHoursDto)
  weeklyHours?: WeekdayHoursDto[];
}

export class RosterLine extends ReplaceRosterDto {
  @IsString()
  @Length(1, 100)
  depotKey!: string;
}

export class BlackoutPeriodLine extends CreateBlackoutPeriodDto {
  @IsString()
  @Length(1, 100)
  vehicleKey!: string;
}

export class SystemTestLine extends OmitType(CreateSystemTestDto, ['gaugeId']) {
  @IsString()
  @Length(1, 100)
  vehicleKey!: string;

  @MayBeAbsent()
  @IsString()
  @Length(1, 100)
  gaugeCode?: string;
}

export class BookingLine extends OmitType(CreateBookingDto, [
  'externalKey',
  'vehicleId',
  'workshopId',
  'holdMinutes',
]) {
  @IsString()
  @Length(1, 100)
  externalKey!: string;

  @IsString()
  @Length(1, 100)
  vehicleKey!: string;

  @IsString()
  @Length(1, 100)
  workshopKey!: string;
}
