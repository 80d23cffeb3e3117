import { Transform } from 'class-transformer';
import { IsIn, IsNumber, IsString, IsUUID, Length, Max, Min } from 'class-validator';
import { ApiProperty } from '@nestjs/swagger';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { IsCode } from '../../../platform/http/is-code';
import { IsVehicleIdentificationNumber } from '../../../platform/http/is-vehicle-identification-number';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';

const FURTHEST_KM = 5_000_000;
const LONGEST_HOURS = 500_000;

// marks and numbers are compared as people read them: capitals, single spaces
const Capitals = (): PropertyDecorator =>
  Transform(({ value }: { value: unknown }) =>
    typeof value === 'string' ? value.trim().replace(/\s+/g, ' ').toUpperCase() : value,
  );

/** What people may change of a vehicle. */
export class UpdateVehicleDto {
  /** A depot of the same fleet. */
  @MayBeAbsent()
  @IsUUID()
  depotId?: string;

  /** The operator's own key, unique in the organisation. */
  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;

  /** @example TVP 101 */
  @MayBeAbsent()
  @Capitals()
  @IsString()
  @Length(1, 20)
  registrationMark?: string;

  @MayBeNull()
  @IsString()
  @Length(1, 40)
  fleetNumber?: string | null;

  /** ISO 3779: 17 characters. */
  @MayBeNull()
  @Capitals()
  @IsVehicleIdentificationNumber()
  vin?: string | null;

  /** Duty class when it entered service. @example urban-stop-start */
  @MayBeAbsent()
  @IsCode()
  dutyClass?: string;

  @MayBeNull()
  @IsCalendarDate()
  @ApiProperty({ required: false, format: 'date', nullable: true, type: String })
  inServiceOn?: string | null;

  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(FURTHEST_KM)
  inServiceOdometerKm?: number | null;

  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(LONGEST_HOURS)
  inServiceEngineHours?: number | null;

  @MayBeAbsent()
  @IsIn(['km', 'mi'])
  @ApiProperty({ required: false, enum: ['km', 'mi'] })
  odometerUnit?: 'km' | 'mi';

  /** Distance a year that the operator expects. */
  @MayBeNull()
  @IsNumber()
  @Min(1)
  @Max(1_000_000)
  statedYearlyDistanceKm?: number | null;

  /** Null follows the fleet. */
  @MayBeNull()
  @IsUUID()
  serviceProgrammeId?: string | null;

  /** Last day in the fleet; a retired vehicle owes nothing. */
  @MayBeNull()
  @IsCalendarDate()
  @ApiProperty({ required: false, format: 'date', nullable: true, type: String })
  retiredOn?: string | null;
}

export class CreateVehicleDto {
  @IsUUID()
  depotId!: string;

  /** The operator's own key, unique in the organisation. */
  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;

  /** @example TVP 101 */
  @Capitals()
  @IsString()
  @Length(1, 20)
  registrationMark!: string;

  @MayBeNull()
  @IsString()
  @Length(1, 40)
  fleetNumber?: string | null;

  /** ISO 3779: 17 characters. */
  @MayBeNull()
  @Capitals()
  @IsVehicleIdentificationNumber()
  vin?: string | null;

  /** @example urban-stop-start */
  @IsCode()
  dutyClass!: string;

  @MayBeNull()
  @IsCalendarDate()
  @ApiProperty({ required: false, format: 'date', nullable: true, type: String })
  inServiceOn?: string | null;

  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(FURTHEST_KM)
  inServiceOdometerKm?: number | null;

  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(LONGEST_HOURS)
  inServiceEngineHours?: number | null;

  @IsIn(['km', 'mi'])
  @ApiProperty({ enum: ['km', 'mi'] })
  odometerUnit!: 'km' | 'mi';

  /** Distance a year that the operator expects. */
  @MayBeNull()
  @IsNumber()
  @Min(1)
  @Max(1_000_000)
  statedYearlyDistanceKm?: number | null;

  /** Null or absent follows the fleet. */
  @MayBeNull()
  @IsUUID()
  serviceProgrammeId?: string | null;
}
