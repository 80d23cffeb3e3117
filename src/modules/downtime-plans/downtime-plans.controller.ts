import { Body, Controller, Get, Header, HttpCode, Param, Post, Query, StreamableFile } from '@nestjs/common';
import { ApiConflictResponse, ApiOkResponse, ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, planners } from '../../platform/security/role';
import { DowntimePlansService } from './downtime-plans.service';
import {
  ComparePlansQueryDto,
  DowntimePlanParamsDto,
  ListDowntimePlansQueryDto,
  ListPlannedItemsQueryDto,
  ListPlannedVisitsQueryDto,
} from './dto/downtime-plan-params.dto';
import {
  DowntimePlanDto,
  DowntimePlanPageDto,
  PlanComparisonDto,
  PlanProgressDto,
} from './dto/downtime-plan.dto';
import { PlannedItemPageDto, PlannedVisitPageDto, PlanViewsDto } from './dto/planned-visit.dto';
import { AcceptDowntimePlanDto, CreateDowntimePlanDto } from './dto/write-downtime-plan.dto';

@ApiTags('downtime plans')
@Controller('v1/downtime-plans')
export class DowntimePlansController {
  constructor(private readonly plans: DowntimePlansService) {}

  /** Lists plans, newest first. */
  @Get()
  @Allow(everybody)
  list(
    @Context() context: RequestContext,
    @Query() query: ListDowntimePlansQueryDto,
  ): Promise<DowntimePlanPageDto> {
    return this.plans.list(context, query);
  }

  /**
   * Plans off-road days: of a fleet anew, or of an earlier plan again, with other wishes or as if something were
   * otherwise. Answers at once; the progress tells how far the work is.
   */
  @Post()
  @HttpCode(202)
  @Allow(planners)
  create(@Context() context: RequestContext, @Body() body: CreateDowntimePlanDto): Promise<DowntimePlanDto> {
    return this.plans.create(context, body);
  }

  /** Reads a plan: what it costs, what the naive way would, and how far it may be from the best possible. */
  @Get(':downtimePlanId')
  @Allow(everybody)
  get(
    @Context() context: RequestContext,
    @Param() { downtimePlanId }: DowntimePlanParamsDto,
  ): Promise<DowntimePlanDto> {
    return this.plans.get(context, downtimePlanId);
  }

  /** Tells how far the work on a plan is, with the cost and the gap of the best so far. */
  @Get(':downtimePlanId/progress')
  @Allow(everybody)
  progress(
    @Context() context: RequestContext,
    @Param() { downtimePlanId }: DowntimePlanParamsDto,
  ): Promise<PlanProgressDto> {
    return this.plans.progress(context, downtimePlanId);
  }

  /** The same as server-sent events, one a second, until the work is over. Each carries the progress as JSON. */
  @Get(':downtimePlanId/progress-events')
  @Allow(everybody)
  @Header('Cache-Control', 'no-store')
  @ApiOkResponse({ content: { 'text/event-stream': { schema: { type: 'string' } } } })
  async progressEvents(
    @Context() context: RequestContext,
    @Param() { downtimePlanId }: DowntimePlanParamsDto,
  ): Promise<StreamableFile> {
    const events = await this.plans.progressEvents(context, downtimePlanId);
    return new StreamableFile(events, { type: 'text/event-stream' });
  }

  /** Stops the search; the best plan so far is kept. */
  @Post(':downtimePlanId/stop')
  @HttpCode(200)
  @Allow(planners)
  stop(
    @Context() context: RequestContext,
    @Param() { downtimePlanId }: DowntimePlanParamsDto,
    @IfMatch() revision: number,
  ): Promise<DowntimePlanDto> {
    return this.plans.stop(context, downtimePlanId, revision);
  }

  /**
   * Makes bookings of its visits, in the way that every booking is made. What has been taken meanwhile is refused with
   * the reason and stays in the plan; no visit is booked by half. Answers at once.
   */
  @Post(':downtimePlanId/acceptance')
  @HttpCode(202)
  @Allow(planners)
  accept(
    @Context() context: RequestContext,
    @Param() { downtimePlanId }: DowntimePlanParamsDto,
    @IfMatch() revision: number,
    @Body() body: AcceptDowntimePlanDto,
  ): Promise<DowntimePlanDto> {
    return this.plans.accept(context, downtimePlanId, revision, body);
  }

  /** Lists the visits of a plan in order of day, with their work. */
  @Get(':downtimePlanId/visits')
  @Allow(everybody)
  visits(
    @Context() context: RequestContext,
    @Param() { downtimePlanId }: DowntimePlanParamsDto,
    @Query() query: ListPlannedVisitsQueryDto,
  ): Promise<PlannedVisitPageDto> {
    return this.plans.visits(context, downtimePlanId, query);
  }

  /** Lists the due items of a plan, each with the reason why it is on its day, and what would bring it nearer. */
  @Get(':downtimePlanId/items')
  @Allow(everybody)
  items(
    @Context() context: RequestContext,
    @Param() { downtimePlanId }: DowntimePlanParamsDto,
    @Query() query: ListPlannedItemsQueryDto,
  ): Promise<PlannedItemPageDto> {
    return this.plans.items(context, downtimePlanId, query);
  }

  /** Tells by day how many vehicles each depot has on the road, and by week what each workshop has to do. */
  @Get(':downtimePlanId/views')
  @Allow(everybody)
  @ApiConflictResponse()
  views(
    @Context() context: RequestContext,
    @Param() { downtimePlanId }: DowntimePlanParamsDto,
  ): Promise<PlanViewsDto> {
    return this.plans.views(context, downtimePlanId);
  }

  /** Holds a plan against another one, such as one that assumes a technician more. */
  @Get(':downtimePlanId/comparison')
  @Allow(everybody)
  @ApiConflictResponse()
  compare(
    @Context() context: RequestContext,
    @Param() { downtimePlanId }: DowntimePlanParamsDto,
    @Query() { withId }: ComparePlansQueryDto,
  ): Promise<PlanComparisonDto> {
    return this.plans.compare(context, downtimePlanId, withId);
  }
}
