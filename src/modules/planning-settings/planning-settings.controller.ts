import { Body, Controller, Get, Put } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, planners } from '../../platform/security/role';
import { PlanningSettingsDto } from './dto/planning-settings.dto';
import { ReplacePlanningSettingsDto } from './dto/write-planning-settings.dto';
import { PlanningSettingsService } from './planning-settings.service';

@ApiTags('planning settings')
@Controller('v1/planning-settings')
export class PlanningSettingsController {
  constructor(private readonly settings: PlanningSettingsService) {}

  /** Reads what downtime plans weigh against each other, in money; the defaults while nothing is set. */
  @Get()
  @Allow(everybody)
  get(@Context() context: RequestContext): Promise<PlanningSettingsDto> {
    return this.settings.get(context);
  }

  /** Sets what downtime plans weigh against each other, for the whole organisation. If-Match of the first time is `"r0"`. */
  @Put()
  @Allow(planners)
  replace(
    @Context() context: RequestContext,
    @IfMatch() revision: number,
    @Body() body: ReplacePlanningSettingsDto,
  ): Promise<PlanningSettingsDto> {
    return this.settings.replace(context, revision, body);
  }
}
