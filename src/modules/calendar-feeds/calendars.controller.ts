import { Controller, Get, Header, Req, Res } from '@nestjs/common';
import { ApiNotFoundResponse, ApiOkResponse, ApiParam, ApiResponse, ApiTags } from '@nestjs/swagger';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { Public } from '../../platform/security/allow';
import { CalendarReaderService } from './calendar-reader.service';

@ApiTags('calendar feeds')
@Public()
@Controller('v1/calendars')
export class CalendarsController {
  constructor(private readonly calendars: CalendarReaderService) {}

  /**
   * Reads a calendar (RFC 5545) at its secret address, without a key.
   *
   * @remarks From four weeks back to 26 weeks ahead, at most 10,000 events, the earliest first. A booking keeps its UID, its
   * SEQUENCE counts its changes; what was cancelled, missed, lapsed or deleted stays for four weeks as CANCELLED, so that
   * calendars take it off. What moved to another workshop or depot is no longer in it. Times are in UTC; days off the road
   * are whole days of the depot. Every address that opens nothing is answered alike.
   */
  @Get(':calendarSecret/calendar.ics')
  @Header('Content-Type', 'text/calendar; charset=utf-8')
  @Header('Content-Disposition', 'inline; filename="calendar.ics"')
  @Header('Cache-Control', 'private, no-cache')
  @Header('Referrer-Policy', 'no-referrer')
  @Header('X-Robots-Tag', 'noindex, nofollow')
  @ApiParam({
    name: 'calendarSecret',
    description: 'The secret part of the address.',
    schema: { type: 'string', pattern: '^cf_[A-Za-z0-9_-]{43}_[A-Za-z0-9_-]{43}$', maxLength: 90 },
  })
  @ApiOkResponse({ content: { 'text/calendar': { schema: { type: 'string' } } } })
  @ApiResponse({ status: 304, description: 'The calendar is what If-None-Match names.' })
  @ApiNotFoundResponse()
  // the secret is taken from the request itself: checks of parameters would answer some that open nothing otherwise
  read(
    @Req() request: FastifyRequest<{ Params: { calendarSecret: string } }>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<string | undefined> {
    return this.calendars.read(request.params.calendarSecret, request, reply);
  }
}
