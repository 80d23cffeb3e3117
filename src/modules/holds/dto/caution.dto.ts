import { ApiProperty } from '@nestjs/swagger';
import { CAUTION_CONTEXTS, type CautionContext } from '../../../core/hydraulics/cautions';

/** A warning to be shown where the work can hurt someone. */
export class CautionDto {
  /** @example no-pressure-no-brakes */
  code!: string;
  text!: string;
  @ApiProperty({ enum: CAUTION_CONTEXTS, isArray: true })
  shownFor!: CautionContext[];
}
