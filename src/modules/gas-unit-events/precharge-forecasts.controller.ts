import { Controller, Get, Header, Param } from '@nestjs/common';
import { ApiOkResponse, ApiTags } from '@nestjs/swagger';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody } from '../../platform/security/role';
import { MeasuredUnitParamsDto } from './dto/gas-unit-event-query.dto';
import { PrechargeForecastDto } from './dto/precharge-forecast.dto';
import { PrechargeForecastsService } from './precharge-forecasts.service';

@ApiTags('gas unit events')
@Controller('v1/gas-units/:gasUnitId')
export class PrechargeForecastsController {
  constructor(private readonly forecasts: PrechargeForecastsService) {}

  /** Forecasts when a unit falls below its precharge limit, with all numbers behind it. */
  @Get('forecast')
  @Allow(everybody)
  forecast(
    @Context() context: RequestContext,
    @Param() { gasUnitId }: MeasuredUnitParamsDto,
  ): Promise<PrechargeForecastDto> {
    return this.forecasts.forecast(context, gasUnitId);
  }

  /** Draws the trend of a unit's precharge: tests, fitted line with its 80 % band, limit, window, charges and moves. */
  @Get('trend.svg')
  @Allow(everybody)
  @Header('Content-Type', 'image/svg+xml; charset=utf-8')
  @ApiOkResponse({ content: { 'image/svg+xml': { schema: { type: 'string' } } } })
  trend(@Context() context: RequestContext, @Param() { gasUnitId }: MeasuredUnitParamsDto): Promise<string> {
    return this.forecasts.trend(context, gasUnitId);
  }
}
