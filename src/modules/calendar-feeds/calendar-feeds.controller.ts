import { Body, Controller, Delete, Get, HttpCode, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { administrators } from '../../platform/security/role';
import { CalendarFeedsService } from './calendar-feeds.service';
import {
  CalendarDepotParamsDto,
  CalendarFeedDto,
  CalendarFeedPageDto,
  CalendarFeedParamsDto,
  CalendarFeedWithAddressDto,
  CalendarWorkshopParamsDto,
  CreateCalendarFeedDto,
  ListCalendarFeedsQueryDto,
} from './dto/calendar-feed.dto';

@ApiTags('calendar feeds')
@Controller('v1')
export class CalendarFeedsController {
  constructor(private readonly feeds: CalendarFeedsService) {}

  /** Lists calendar feeds, never their addresses. */
  @Get('calendar-feeds')
  @Allow(administrators, 'manage-access')
  list(
    @Context() context: RequestContext,
    @Query() query: ListCalendarFeedsQueryDto,
  ): Promise<CalendarFeedPageDto> {
    return this.feeds.list(context, query);
  }

  /** Reads what is known of a calendar feed. */
  @Get('calendar-feeds/:calendarFeedId')
  @Allow(administrators, 'manage-access')
  get(
    @Context() context: RequestContext,
    @Param() { calendarFeedId }: CalendarFeedParamsDto,
  ): Promise<CalendarFeedDto> {
    return this.feeds.get(context, calendarFeedId);
  }

  /**
   * Makes an address at which the diary of a workshop is read as a calendar, without a key.
   *
   * @remarks It shows what the key or client that makes it sees now, never more, and goes on when that is revoked. In it
   * stand the registration mark, fleet number, bay, kind and length of the work, and the titles of work that was asked
   * for; with `withNames` also names of technicians, the contact and the note of a booking. The answer shows the address
   * once; an answer that is repeated for an Idempotency-Key does not.
   */
  @Post('workshops/:workshopId/calendar-feeds')
  @Allow(administrators, 'manage-access')
  createForWorkshop(
    @Context() context: RequestContext,
    @Param() { workshopId }: CalendarWorkshopParamsDto,
    @Body() body: CreateCalendarFeedDto,
  ): Promise<CalendarFeedWithAddressDto> {
    return this.feeds.createForWorkshop(context, workshopId, body);
  }

  /**
   * Makes an address at which the off-road days of a depot's vehicles are read as a calendar, without a key.
   *
   * @remarks Whole days of the depot: periods off the road, and days in a workshop. What it shows, and of whom, is as for
   * the diary of a workshop; the reason of a period off the road is in it.
   */
  @Post('depots/:depotId/calendar-feeds')
  @Allow(administrators, 'manage-access')
  createForDepot(
    @Context() context: RequestContext,
    @Param() { depotId }: CalendarDepotParamsDto,
    @Body() body: CreateCalendarFeedDto,
  ): Promise<CalendarFeedWithAddressDto> {
    return this.feeds.createForDepot(context, depotId, body);
  }

  /** Gives a calendar feed another address; the old one opens nothing from then on. */
  @Post('calendar-feeds/:calendarFeedId/rotate')
  @HttpCode(200)
  @Allow(administrators, 'manage-access')
  rotate(
    @Context() context: RequestContext,
    @Param() { calendarFeedId }: CalendarFeedParamsDto,
  ): Promise<CalendarFeedWithAddressDto> {
    return this.feeds.rotate(context, calendarFeedId);
  }

  /** Revokes a calendar feed at once. Its record stays. */
  @Delete('calendar-feeds/:calendarFeedId')
  @Allow(administrators, 'manage-access')
  revoke(
    @Context() context: RequestContext,
    @Param() { calendarFeedId }: CalendarFeedParamsDto,
    @IfMatch() revision: number,
  ): Promise<CalendarFeedDto> {
    return this.feeds.revoke(context, calendarFeedId, revision);
  }
}
