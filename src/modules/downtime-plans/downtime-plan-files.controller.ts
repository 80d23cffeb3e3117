import { Controller, Get, Header, Param } from '@nestjs/common';
import { ApiConflictResponse, ApiOkResponse, ApiTags } from '@nestjs/swagger';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody } from '../../platform/security/role';
import { DowntimePlanFilesService } from './downtime-plan-files.service';
import {
  DowntimePlanParamsDto,
  PlanDepotParamsDto,
  PlanWorkshopParamsDto,
} from './dto/downtime-plan-params.dto';

@ApiTags('downtime plans')
@Controller('v1/downtime-plans/:downtimePlanId')
export class DowntimePlanFilesController {
  constructor(private readonly files: DowntimePlanFilesService) {}

  /**
   * The visits with their work as a table (RFC 4180), a line for each item. Costs stand in units of the currency with two
   * decimals, also where it has no such coin.
   */
  @Get('visits.csv')
  @Allow(everybody)
  @ApiConflictResponse()
  @Header('Content-Type', 'text/csv; charset=utf-8')
  @Header('Content-Disposition', 'attachment; filename="downtime-plan.csv"')
  @ApiOkResponse({ content: { 'text/csv': { schema: { type: 'string' } } } })
  csv(
    @Context() context: RequestContext,
    @Param() { downtimePlanId }: DowntimePlanParamsDto,
  ): Promise<string> {
    return this.files.csv(context, downtimePlanId);
  }

  /** The visits as a calendar (RFC 5545), tentative until they are booked. */
  @Get('visits.ics')
  @Allow(everybody)
  @ApiConflictResponse()
  @Header('Content-Type', 'text/calendar; charset=utf-8')
  @Header('Content-Disposition', 'attachment; filename="downtime-plan.ics"')
  @ApiOkResponse({ content: { 'text/calendar': { schema: { type: 'string' } } } })
  calendar(
    @Context() context: RequestContext,
    @Param() { downtimePlanId }: DowntimePlanParamsDto,
  ): Promise<string> {
    return this.files.calendar(context, downtimePlanId);
  }

  /** Draws how many vehicles a depot has on the road by day, before and after the plan, beside what it needs. */
  @Get('depots/:depotId/availability.svg')
  @Allow(everybody)
  @ApiConflictResponse()
  @Header('Content-Type', 'image/svg+xml; charset=utf-8')
  @ApiOkResponse({ content: { 'image/svg+xml': { schema: { type: 'string' } } } })
  availability(
    @Context() context: RequestContext,
    @Param() { downtimePlanId, depotId }: PlanDepotParamsDto,
  ): Promise<string> {
    return this.files.availability(context, downtimePlanId, depotId);
  }

  /** Draws what a workshop has to do by week, booked and planned, beside the hours of its bays. */
  @Get('workshops/:workshopId/load.svg')
  @Allow(everybody)
  @ApiConflictResponse()
  @Header('Content-Type', 'image/svg+xml; charset=utf-8')
  @ApiOkResponse({ content: { 'image/svg+xml': { schema: { type: 'string' } } } })
  load(
    @Context() context: RequestContext,
    @Param() { downtimePlanId, workshopId }: PlanWorkshopParamsDto,
  ): Promise<string> {
    return this.files.load(context, downtimePlanId, workshopId);
  }
}
