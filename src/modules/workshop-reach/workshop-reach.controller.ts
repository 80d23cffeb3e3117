import { Body, Controller, Get, Param, Put } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, planners } from '../../platform/security/role';
import { WorkshopReachParamsDto } from './dto/workshop-reach-params.dto';
import { WorkshopReachDto } from './dto/workshop-reach.dto';
import { ReplaceWorkshopReachDto } from './dto/write-workshop-reach.dto';
import { WorkshopReachService } from './workshop-reach.service';

@ApiTags('workshop reach')
@Controller('v1/depots/:depotId/workshop-reach')
export class WorkshopReachController {
  constructor(private readonly reaches: WorkshopReachService) {}

  /** Reads which workshops the vehicles of a depot can go to; while nothing is set, every one at no cost. */
  @Get()
  @Allow(everybody)
  get(
    @Context() context: RequestContext,
    @Param() { depotId }: WorkshopReachParamsDto,
  ): Promise<WorkshopReachDto> {
    return this.reaches.get(context, depotId);
  }

  /**
   * Sets which workshops the vehicles of a depot can go to, and what the way costs. If-Match of the first time is
   * `"r0"`. A key that sees some workshops only sets those; the others stay.
   */
  @Put()
  @Allow(planners)
  replace(
    @Context() context: RequestContext,
    @Param() { depotId }: WorkshopReachParamsDto,
    @IfMatch() revision: number,
    @Body() body: ReplaceWorkshopReachDto,
  ): Promise<WorkshopReachDto> {
    return this.reaches.replace(context, depotId, revision, body);
  }
}
