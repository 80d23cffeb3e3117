import { ApiProperty } from '@nestjs/swagger';
import {
  ArrayMaxSize,
  IsArray,
  IsBoolean,
  IsObject,
  IsString,
  IsUUID,
  Length,
  ValidateIf,
} from 'class-validator';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';
import { RuleDto, rulesSchema, severitySchema } from './rule.dto';

export class CreateServiceProgrammeDto {
  /** Unique in the organisation. @example Minibuses, urban */
  @IsString()
  @Length(1, 200)
  name!: string;

  /** Where the figures come from. @example maker's schedule, edition of 2024 */
  @MayBeAbsent()
  @IsString()
  @Length(1, 500)
  originNote?: string;

  /** The rules of the first version, a draft; left out with `fromStarter`. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(200)
  @ApiProperty({ ...rulesSchema, required: false })
  rules?: RuleDto[];

  /** Multipliers of the intervals by duty class; a class that is not named has 1. */
  @MayBeNull()
  @IsObject()
  @ApiProperty({ ...severitySchema, selfRequired: false, nullable: true })
  severityByDutyClass?: Record<string, number> | null;

  /** Begins with the starter rules, whose figures have to be confirmed against the maker's schedule. */
  @MayBeAbsent()
  @IsBoolean()
  fromStarter?: boolean;
}

export class UpdateServiceProgrammeDto {
  @MayBeAbsent()
  @IsString()
  @Length(1, 200)
  name?: string;

  @MayBeAbsent()
  @IsString()
  @Length(1, 500)
  originNote?: string;
}

export class PutDefaultServiceProgrammeDto {
  /** Null for none: vehicles without a programme of their own, or of their fleet, then owe nothing. */
  @ValidateIf((_, value) => value !== null)
  @IsUUID()
  @ApiProperty({ type: String, format: 'uuid', nullable: true })
  serviceProgrammeId!: string | null;
}

export class CreateProgrammeVersionDto {
  /** A version of the same programme, whose rules and factors stand where none are given here. */
  @MayBeAbsent()
  @IsUUID()
  basedOn?: string;

  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(200)
  @ApiProperty({ ...rulesSchema, required: false })
  rules?: RuleDto[];

  /** Multipliers of the intervals by duty class; a class that is not named has 1. */
  @MayBeNull()
  @IsObject()
  @ApiProperty({ ...severitySchema, selfRequired: false, nullable: true })
  severityByDutyClass?: Record<string, number> | null;

  /** What is different, and why. */
  @IsString()
  @Length(1, 2000)
  changeNote!: string;
}

export class PutProgrammeVersionDto {
  /** All rules: they take the place of those that the draft had. */
  @IsArray()
  @ArrayMaxSize(200)
  @ApiProperty(rulesSchema)
  rules!: RuleDto[];

  /** All factors; left out, every duty class has 1. */
  @MayBeNull()
  @IsObject()
  @ApiProperty({ ...severitySchema, selfRequired: false, nullable: true })
  severityByDutyClass?: Record<string, number> | null;

  /** Left out, the note stays. */
  @MayBeAbsent()
  @IsString()
  @Length(1, 2000)
  changeNote?: string;
}

export class PublishProgrammeVersionDto {
  /** From this day on the rules are in force, at all depots; today or later. */
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  effectiveOn!: string;
}
