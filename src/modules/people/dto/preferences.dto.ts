import { ApiProperty } from '@nestjs/swagger';
import { IsIn } from 'class-validator';
import { IsLanguageTag } from '../../../platform/http/is-language-tag';
import { MayBeNull } from '../../../platform/http/optional-fields';
import {
  distanceUnits,
  pressureUnits,
  type DistanceUnit,
  type PressureUnit,
} from '../../../platform/units/shown-units';

/** How somebody wants to read. */
export class WritePreferencesDto {
  /** Language (BCP 47); null is the browser's. @example en-GB */
  @MayBeNull()
  @IsLanguageTag()
  locale?: string | null;

  /** Null is the organisation's. */
  @MayBeNull()
  @IsIn(distanceUnits)
  @ApiProperty({ required: false, type: String, enum: distanceUnits, nullable: true })
  distanceUnit?: DistanceUnit | null;

  /** Null is the organisation's. */
  @MayBeNull()
  @IsIn(pressureUnits)
  @ApiProperty({ required: false, type: String, enum: pressureUnits, nullable: true })
  pressureUnit?: PressureUnit | null;
}
