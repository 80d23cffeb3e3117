import { ApiProperty } from '@nestjs/swagger';

export class OpenWindowDto {
  @ApiProperty({ format: 'date-time' })
  startsAt!: string;
  @ApiProperty({ format: 'date-time' })
  endsAt!: string;
}

export const DAY_REASONS = ['weekly-hours', 'public-holiday', 'exception'] as const;

export class OpenDayDto {
  @ApiProperty({ format: 'date' })
  on!: string;
  /** When it is open; the windows that start on this day. */
  windows!: OpenWindowDto[];
  /** What decides over the day. */
  @ApiProperty({ enum: DAY_REASONS })
  because!: (typeof DAY_REASONS)[number];
  /** Name of the holiday, or the note of the exception. */
  note!: string | null;
}

/** When a workshop is open, day by day. */
export class WorkshopOpeningDto {
  workshopId!: string;
  zone!: string;
  days!: OpenDayDto[];
}

/** A region whose public holidays are known. */
export class HolidayRegionDto {
  /** @example GB-ENG */
  code!: string;
  /** @example England */
  name!: string;
}

export class HolidayRegionsDto {
  items!: HolidayRegionDto[];
}
