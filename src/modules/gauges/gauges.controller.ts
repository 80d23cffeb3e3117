import { Body, Controller, Get, Param, Patch, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, planners } from '../../platform/security/role';
import { GaugeParamsDto, ListGaugesQueryDto } from './dto/gauge-params.dto';
import { GaugeDto, GaugePageDto } from './dto/gauge.dto';
import { CreateGaugeDto, UpdateGaugeDto } from './dto/write-gauge.dto';
import { GaugesService } from './gauges.service';

@ApiTags('gauges')
@Controller('v1/gauges')
export class GaugesController {
  constructor(private readonly gauges: GaugesService) {}

  /** Lists the pressure gauges of test rigs, and whether their calibration is overdue today (the day of UTC). */
  @Get()
  @Allow(everybody)
  list(@Context() context: RequestContext, @Query() query: ListGaugesQueryDto): Promise<GaugePageDto> {
    return this.gauges.list(context, query);
  }

  /** Adds a gauge. */
  @Post()
  @Allow(planners)
  create(@Context() context: RequestContext, @Body() body: CreateGaugeDto): Promise<GaugeDto> {
    return this.gauges.create(context, body);
  }

  /** Reads one gauge. */
  @Get(':gaugeId')
  @Allow(everybody)
  get(@Context() context: RequestContext, @Param() { gaugeId }: GaugeParamsDto): Promise<GaugeDto> {
    return this.gauges.get(context, gaugeId);
  }

  /** Changes a gauge, after a calibration for example. Results that were recorded with it stay as they are. */
  @Patch(':gaugeId')
  @Allow(planners)
  update(
    @Context() context: RequestContext,
    @Param() { gaugeId }: GaugeParamsDto,
    @IfMatch() revision: number,
    @Body() body: UpdateGaugeDto,
  ): Promise<GaugeDto> {
    return this.gauges.update(context, gaugeId, revision, body);
  }
}
