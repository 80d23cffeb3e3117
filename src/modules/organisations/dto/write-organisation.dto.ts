import { ApiProperty } from '@nestjs/swagger';
import { IsIn, IsString, Length } from 'class-validator';
import { MayBeAbsent } from '../../../platform/http/optional-fields';
import {
  distanceUnits,
  pressureUnits,
  type DistanceUnit,
  type PressureUnit,
} from '../../../platform/units/shown-units';

export class UpdateOrganisationDto {
  /** @example Tarn Valley Patient Transport */
  @MayBeAbsent()
  @IsString()
  @Length(1, 200)
  name?: string;

  /** In what pages show distances to people who prefer nothing else. */
  @MayBeAbsent()
  @IsIn(distanceUnits)
  @ApiProperty({ required: false, enum: distanceUnits })
  distanceUnit?: DistanceUnit;

  /** In what pages show pressures to people who prefer nothing else. */
  @MayBeAbsent()
  @IsIn(pressureUnits)
  @ApiProperty({ required: false, enum: pressureUnits })
  pressureUnit?: PressureUnit;
}
