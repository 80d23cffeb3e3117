import { ApiProperty, OmitType, PartialType } from '@nestjs/swagger';
import {
  ArrayMaxSize,
  ArrayMinSize,
  ArrayUnique,
  IsArray,
  IsBoolean,
  IsIn,
  IsNumber,
  IsString,
  Length,
  Max,
  Min,
} from 'class-validator';
import { UNIT_ROLES, type UnitRole } from '../../../core/hydraulics/unit-positions';
import { IsCode } from '../../../platform/http/is-code';
import { MayBeNull } from '../../../platform/http/optional-fields';

// far beyond any unit of these systems, so that only a wrong unit of measure is refused
const HIGHEST_BAR = 400;
const LARGEST_CM3 = 20_000;

export class CreateGasUnitTypeDto {
  /** The operator's own key, unique in the organisation. */
  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;

  /** Rules of a programme name the type by it; it stays. @example front-55 */
  @IsCode()
  code!: string;

  @IsString()
  @Length(1, 200)
  name!: string;

  /** What a unit of this type may be fitted as. */
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(UNIT_ROLES.length)
  @ArrayUnique()
  @IsIn(UNIT_ROLES, { each: true })
  @ApiProperty({
    enum: UNIT_ROLES,
    isArray: true,
    minItems: 1,
    maxItems: UNIT_ROLES.length,
    uniqueItems: true,
  })
  roles!: UnitRole[];

  /** Nominal precharge at 20 °C, bar above the atmosphere. */
  @IsNumber()
  @Min(1)
  @Max(HIGHEST_BAR)
  nominalPrecharge20BarGauge!: number;

  /** Volume of the gas side without fluid in the unit. */
  @IsNumber()
  @Min(1)
  @Max(LARGEST_CM3)
  gasVolumeCm3!: number;

  /** Lowest pressure of the fluid in use. */
  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(HIGHEST_BAR)
  workingPressureLowBarGauge?: number | null;

  /** Highest pressure of the fluid in use. */
  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(HIGHEST_BAR)
  workingPressureHighBarGauge?: number | null;

  /** The damper is part of the unit and goes with it. */
  @IsBoolean()
  damperIntegral!: boolean;

  @MayBeNull()
  @IsString()
  @Length(1, 2000)
  note?: string | null;
}

export class UpdateGasUnitTypeDto extends PartialType(OmitType(CreateGasUnitTypeDto, ['code']), {
  // what may be left out may not be null for that
  skipNullProperties: false,
}) {}
