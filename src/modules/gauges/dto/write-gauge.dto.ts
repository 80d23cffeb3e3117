import { ApiProperty } from '@nestjs/swagger';
import { IsNumber, IsString, Length, Max, Min } from 'class-validator';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';

const SMALLEST_RANGE_BAR = 1;
const LARGEST_RANGE_BAR = 1000;

export class CreateGaugeDto {
  /** What is written on it. @example G-014 */
  @IsString()
  @Length(1, 60)
  code!: string;

  @IsString()
  @Length(1, 200)
  name!: string;

  /** End of its scale. */
  @IsNumber()
  @Min(SMALLEST_RANGE_BAR)
  @Max(LARGEST_RANGE_BAR)
  rangeHighBarGauge!: number;

  /** Last day on which its calibration counts. */
  @MayBeNull()
  @IsCalendarDate()
  @ApiProperty({ required: false, format: 'date', nullable: true, type: String })
  calibrationDueOn?: string | null;

  @MayBeNull()
  @IsCalendarDate()
  @ApiProperty({ required: false, format: 'date', nullable: true, type: String })
  retiredOn?: string | null;
}

export class UpdateGaugeDto {
  /** What is written on it. */
  @MayBeAbsent()
  @IsString()
  @Length(1, 60)
  code?: string;

  @MayBeAbsent()
  @IsString()
  @Length(1, 200)
  name?: string;

  /** End of its scale. */
  @MayBeAbsent()
  @IsNumber()
  @Min(SMALLEST_RANGE_BAR)
  @Max(LARGEST_RANGE_BAR)
  rangeHighBarGauge?: number;

  /** Last day on which its calibration counts. */
  @MayBeNull()
  @IsCalendarDate()
  @ApiProperty({ required: false, format: 'date', nullable: true, type: String })
  calibrationDueOn?: string | null;

  @MayBeNull()
  @IsCalendarDate()
  @ApiProperty({ required: false, format: 'date', nullable: true, type: String })
  retiredOn?: string | null;
}
