import { ApiProperty } from '@nestjs/swagger';
import { IsBoolean, IsOptional, IsString, IsUUID, Length } from 'class-validator';
import { MayBeAbsent } from '../../../platform/http/optional-fields';
import { PageQueryDto } from '../../../platform/http/page-query.dto';
import { BooleanText } from '../../../platform/http/query-values';
import type { CalendarFeed } from '../calendar-feed.entity';

export class CalendarFeedParamsDto {
  @IsUUID()
  calendarFeedId!: string;
}

export class CalendarWorkshopParamsDto {
  @IsUUID()
  workshopId!: string;
}

export class CalendarDepotParamsDto {
  @IsUUID()
  depotId!: string;
}

export class ListCalendarFeedsQueryDto extends PageQueryDto {
  /** Also feeds that have been revoked. */
  @IsOptional()
  @BooleanText()
  @IsBoolean()
  includeRevoked?: boolean;
}

export class CreateCalendarFeedDto {
  /** Who reads it or where it hangs. @example front desk, Upper Tarn */
  @IsString()
  @Length(1, 100)
  label!: string;

  /**
   * Put names of technicians, and what is noted of who called, into the calendar. Whoever knows its address reads them, and
   * so does the service that keeps the reader's calendars.
   */
  @MayBeAbsent()
  @IsBoolean()
  @ApiProperty({ required: false, default: false })
  withNames?: boolean;
}

/** What is known of a feed; never its address. */
export class CalendarFeedDto {
  id!: string;
  label!: string;
  /** The workshop whose diary it is, or null. */
  @ApiProperty({ format: 'uuid', nullable: true, type: String })
  workshopId!: string | null;
  /** The depot whose off-road days it is, or null. */
  @ApiProperty({ format: 'uuid', nullable: true, type: String })
  depotId!: string | null;
  withNames!: boolean;
  /** The fleets that it shows: those of the key that made it; null is every fleet. */
  @ApiProperty({ type: [String], format: 'uuid', nullable: true })
  fleetIds!: string[] | null;
  /** The workshops that it shows: those of the key that made it; null is every workshop. */
  @ApiProperty({ type: [String], format: 'uuid', nullable: true })
  workshopIds!: string[] | null;
  /** Names the address that counts; another one after a rotation. */
  @ApiProperty({ format: 'uuid' })
  secretId!: string;
  @ApiProperty({ format: 'date-time' })
  secretMadeAt!: string;
  /** To the nearest five minutes; null where nobody has read it yet. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  lastReadAt!: string | null;
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  revokedAt!: string | null;
  createdBy!: string;
  @ApiProperty({ format: 'date-time' })
  createdAt!: string;
  revision!: number;
}

export class CalendarFeedPageDto {
  items!: CalendarFeedDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** A feed with an address that has just been made. */
export class CalendarFeedWithAddressDto extends CalendarFeedDto {
  /**
   * Where the calendar is read, without a key; shown now and never again: only a digest is stored. Null where this answer
   * repeats an earlier one (same Idempotency-Key); if that one was lost, rotate the feed.
   */
  address!: string | null;
}

export function toCalendarFeedDto(feed: CalendarFeed): CalendarFeedDto {
  return {
    id: feed.id,
    label: feed.label,
    workshopId: feed.workshopId,
    depotId: feed.depotId,
    withNames: feed.withNames,
    fleetIds: feed.fleetIds,
    workshopIds: feed.workshopIds,
    secretId: feed.secretId,
    secretMadeAt: feed.secretMadeAt.toISOString(),
    lastReadAt: feed.lastReadAt?.toISOString() ?? null,
    revokedAt: feed.revokedAt?.toISOString() ?? null,
    createdBy: feed.createdBy,
    createdAt: feed.createdAt.toISOString(),
    revision: feed.revision,
  };
}
