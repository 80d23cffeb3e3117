import { Body, Controller, Get, Param, Put } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, planners } from '../../platform/security/role';
import { RosterParamsDto } from './dto/roster-params.dto';
import { RosterDto } from './dto/roster.dto';
import { ReplaceRosterDto } from './dto/write-roster.dto';
import { RosterNeedsService } from './roster-needs.service';

@ApiTags('roster needs')
@Controller('v1/depots/:depotId/roster')
export class RosterNeedsController {
  constructor(private readonly rosters: RosterNeedsService) {}

  /** Reads how many vehicles a depot needs on the road; while nothing is set, none. */
  @Get()
  @Allow(everybody)
  get(@Context() context: RequestContext, @Param() { depotId }: RosterParamsDto): Promise<RosterDto> {
    return this.rosters.get(context, depotId);
  }

  /**
   * Sets how many vehicles a depot needs on the road. More than it has is accepted, with a warning. If-Match of the
   * first time is `"r0"`.
   */
  @Put()
  @Allow(planners)
  replace(
    @Context() context: RequestContext,
    @Param() { depotId }: RosterParamsDto,
    @IfMatch() revision: number,
    @Body() body: ReplaceRosterDto,
  ): Promise<RosterDto> {
    return this.rosters.replace(context, depotId, revision, body);
  }
}
