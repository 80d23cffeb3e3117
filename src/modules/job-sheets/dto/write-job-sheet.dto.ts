import { ApiProperty } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import {
  ArrayMaxSize,
  IsArray,
  IsBoolean,
  IsIn,
  IsInt,
  IsNumber,
  IsObject,
  IsString,
  IsUUID,
  Length,
  Max,
  Min,
  ValidateNested,
} from 'class-validator';
import { IsInstant } from '../../../platform/http/is-instant';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';

const HIGHEST_BAR = 400;
const LONGEST_SECONDS = 86_400;
// far beyond any instrument, so that a slip of the key is quarantined with an explanation, not refused
const HIGHEST_VALUE = 50_000_000;
export const TAKEN_OUT_TO = ['on-the-shelf', 'away-for-recharge'] as const;

/** Another unit was fitted in the place of the one that the step is about. */
export class UnitExchangeDto {
  /** Of the unit that is fitted now: it has to be on a shelf, or away. */
  @IsString()
  @Length(1, 100)
  serialNumber!: string;

  /** Where the one went that was taken out. */
  @IsIn(TAKEN_OUT_TO)
  @ApiProperty({ enum: TAKEN_OUT_TO })
  takenOutTo!: (typeof TAKEN_OUT_TO)[number];
}

/**
 * What was entered for a step: the fields that belong to its kind. `odometer-reading` odometer, and where known
 * engineHours; `inspection` found; `precharge-test` and `charge` pressureBarGauge and gasTemperatureC as read;
 * `system-test` the figures of that test; `task` outcome. Or `notDone` with the reason.
 */
export class StepEntryDto {
  /** Key of the step. */
  @IsString()
  @Length(1, 300)
  key!: string;

  /** Why there is no result. */
  @MayBeNull()
  @IsString()
  @Length(1, 500)
  notDone?: string | null;

  /** Left out, the end of the work. */
  @MayBeNull()
  @IsInstant()
  @ApiProperty({ format: 'date-time', maxLength: 40, nullable: true, type: String })
  doneAt?: string | null;

  @MayBeNull()
  @IsString()
  @Length(1, 2_000)
  note?: string | null;

  /** As the instrument shows it. */
  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(HIGHEST_VALUE)
  odometer?: number | null;

  /** Left out, the vehicle's own. */
  @MayBeNull()
  @IsIn(['km', 'mi'])
  @ApiProperty({ enum: ['km', 'mi'], nullable: true, type: String })
  odometerUnit?: 'km' | 'mi' | null;

  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(HIGHEST_VALUE)
  engineHours?: number | null;

  /** What an inspection found: a value of the fact, or a figure as text. */
  @MayBeNull()
  @IsString()
  @Length(1, 60)
  found?: string | null;

  @MayBeNull()
  @IsNumber()
  @Min(-10)
  @Max(HIGHEST_BAR)
  pressureBarGauge?: number | null;

  @MayBeNull()
  @IsNumber()
  @Min(-100)
  @Max(300)
  gasTemperatureC?: number | null;

  /** Absolute pressure of the air around the gauge; left out, that of the altitude or at sea level. */
  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(2)
  ambientBar?: number | null;

  @MayBeNull()
  @IsNumber()
  @Min(-500)
  @Max(5_000)
  altitudeM?: number | null;

  @MayBeNull()
  @IsNumber()
  @Min(-100)
  @Max(300)
  ambientTemperatureC?: number | null;

  /** The gauge that the pressures were read on. */
  @MayBeNull()
  @IsUUID()
  gaugeId?: string | null;

  @MayBeNull()
  @IsNumber()
  @Min(0.1)
  @Max(LONGEST_SECONDS)
  chargeSeconds?: number | null;

  @MayBeNull()
  @IsNumber()
  @Min(0.1)
  @Max(LONGEST_SECONDS)
  idleSeconds?: number | null;

  @MayBeNull()
  @IsNumber()
  @Min(0.01)
  @Max(100)
  pumpDeliveryLPerMin?: number | null;

  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(HIGHEST_BAR)
  cutInBarGauge?: number | null;

  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(HIGHEST_BAR)
  cutOutBarGauge?: number | null;

  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(HIGHEST_BAR)
  warningBarGauge?: number | null;

  /** False where the lamp stayed dark. */
  @MayBeNull()
  @IsBoolean()
  cameOn?: boolean | null;

  @MayBeNull()
  @IsNumber()
  @Min(0.25)
  @Max(240)
  hours?: number | null;

  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(500)
  frontLossMm?: number | null;

  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(500)
  rearLossMm?: number | null;

  @MayBeNull()
  @IsInt()
  @Min(0)
  @Max(200)
  applicationsUntilWarning?: number | null;

  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(HIGHEST_BAR)
  startBarGauge?: number | null;

  /** Of a check that the maker's workshop manual rules; with a note. */
  @MayBeNull()
  @IsIn(['passed', 'failed'])
  @ApiProperty({ enum: ['passed', 'failed'], nullable: true, type: String })
  result?: 'passed' | 'failed' | null;

  @MayBeNull()
  @IsIn(['done', 'failed'])
  @ApiProperty({ enum: ['done', 'failed'], nullable: true, type: String })
  outcome?: 'done' | 'failed' | null;

  @MayBeNull()
  @IsObject()
  @ValidateNested()
  @Type(() => UnitExchangeDto)
  exchange?: UnitExchangeDto | null;
}

export class PartUsedDto {
  /** @example mineral-fluid */
  @IsString()
  @Length(1, 100)
  item!: string;

  @IsNumber()
  @Min(0)
  @Max(100_000)
  quantity!: number;

  /** @example l */
  @IsString()
  @Length(1, 20)
  unit!: string;
}

export class FoundWorkDto {
  /** @example Hose at the height corrector is chafed */
  @IsString()
  @Length(1, 200)
  title!: string;

  @MayBeNull()
  @IsString()
  @Length(1, 2_000)
  note?: string | null;

  @IsBoolean()
  urgent!: boolean;
}

/** What was done so far. Entries replace those of the same step; everything else stays. */
export class UpdateJobSheetDto {
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(200)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => StepEntryDto)
  entries?: StepEntryDto[];

  /** Replaces the whole list. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(100)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => PartUsedDto)
  partsUsed?: PartUsedDto[];

  /** Work that was found and not booked. Replaces the whole list. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(50)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => FoundWorkDto)
  workFound?: FoundWorkDto[];
}

/** When somebody worked on the vehicle. */
export class TechnicianPeriodDto {
  @IsUUID()
  technicianId!: string;

  @IsInstant()
  @ApiProperty({ format: 'date-time', maxLength: 40 })
  startsAt!: string;

  @IsInstant()
  @ApiProperty({ format: 'date-time', maxLength: 40 })
  endsAt!: string;
}

export class CompleteJobSheetDto extends UpdateJobSheetDto {
  /** The technician who answers for the job. */
  @IsUUID()
  signedOffBy!: string;

  /** End of the work; left out, now. */
  @MayBeAbsent()
  @IsInstant()
  @ApiProperty({ format: 'date-time', maxLength: 40 })
  finishedAt?: string;

  /** A reason to hold the vehicle although nothing else does. */
  @MayBeNull()
  @IsString()
  @Length(1, 500)
  holdBecause?: string | null;

  /** Left out, the booked times, as far as work had begun and not ended. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(200)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => TechnicianPeriodDto)
  workPeriods?: TechnicianPeriodDto[];
}
