import { ApiProperty } from '@nestjs/swagger';
import { IsIn, IsString, Length } from 'class-validator';
import { UNIT_ROLES, type UnitRole } from '../../../core/hydraulics/unit-positions';
import { IsCode } from '../../../platform/http/is-code';
import { MayBeAbsent } from '../../../platform/http/optional-fields';

export class CreateUnitPositionDto {
  /** Records name the position by it; it stays. @example lift-accumulator */
  @IsCode()
  code!: string;

  @IsString()
  @Length(1, 200)
  name!: string;

  /** What a unit does there. */
  @IsIn(UNIT_ROLES)
  @ApiProperty({ enum: UNIT_ROLES })
  role!: UnitRole;
}

export class UpdateUnitPositionDto {
  @MayBeAbsent()
  @IsString()
  @Length(1, 200)
  name?: string;

  /** What a unit does there. */
  @MayBeAbsent()
  @IsIn(UNIT_ROLES)
  @ApiProperty({ required: false, enum: UNIT_ROLES })
  role?: UnitRole;
}
