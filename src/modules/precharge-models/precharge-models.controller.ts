import { Body, Controller, Get, HttpCode, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { PageQueryDto } from '../../platform/http/page-query.dto';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, planners } from '../../platform/security/role';
import { RefitPrechargeModelsDto } from './dto/precharge-model-query.dto';
import { PrechargeModelPageDto, RefittedPrechargeModelsDto } from './dto/precharge-model.dto';
import { PrechargeModelsService } from './precharge-models.service';

@ApiTags('precharge models')
@Controller('v1/precharge-models')
export class PrechargeModelsController {
  constructor(private readonly models: PrechargeModelsService) {}

  /** Lists how the units of each type lose gas: as learnt from all of them, or by the default prior. */
  @Get()
  @Allow(everybody)
  list(@Context() context: RequestContext, @Query() query: PageQueryDto): Promise<PrechargeModelPageDto> {
    return this.models.list(context, query);
  }

  /** Learns a type, or every type, from all that was measured on its units; due items of their vehicles follow. */
  @Post('refit')
  @HttpCode(200)
  @Allow(planners)
  refit(
    @Context() context: RequestContext,
    @Body() body: RefitPrechargeModelsDto,
  ): Promise<RefittedPrechargeModelsDto> {
    return this.models.refit(context, body);
  }
}
