import { Body, Controller, Get, HttpCode, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, planners } from '../../platform/security/role';
import { ListUsageModelsQueryDto, RefitUsageModelsDto } from './dto/usage-model-query.dto';
import { RefittedFleetDto, UsageModelPageDto } from './dto/usage-model.dto';
import { UsageModelsService } from './usage-models.service';

@ApiTags('usage models')
@Controller('v1/usage-models')
export class UsageModelsController {
  constructor(private readonly usageModels: UsageModelsService) {}

  /** Lists the fitted models of fleets and duty classes, with how often their intervals held. */
  @Get()
  @Allow(everybody)
  list(
    @Context() context: RequestContext,
    @Query() query: ListUsageModelsQueryDto,
  ): Promise<UsageModelPageDto> {
    return this.usageModels.list(context, query);
  }

  /** Fits the models of a fleet to its own history again; every due item of the fleet follows. */
  @Post('refit')
  @HttpCode(200)
  @Allow(planners)
  refit(@Context() context: RequestContext, @Body() body: RefitUsageModelsDto): Promise<RefittedFleetDto> {
    return this.usageModels.refitFleet(context, body);
  }
}
