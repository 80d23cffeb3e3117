import { Body, Controller, Delete, Get, HttpCode, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { PageQueryDto } from '../../platform/http/page-query.dto';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, recorders } from '../../platform/security/role';
import { OffRoadPeriodsService } from './off-road-periods.service';
import { OffRoadPeriodParamsDto, OffRoadPeriodVehicleParamsDto } from './dto/off-road-period-params.dto';
import { OffRoadPeriodDto, OffRoadPeriodPageDto } from './dto/off-road-period.dto';
import { CreateOffRoadPeriodDto } from './dto/write-off-road-period.dto';

@ApiTags('off-road periods')
@Controller('v1')
export class OffRoadPeriodsController {
  constructor(private readonly offRoadPeriods: OffRoadPeriodsService) {}

  /** Lists the off-road periods of a vehicle, earliest first. */
  @Get('vehicles/:vehicleId/off-road-periods')
  @Allow(everybody)
  list(
    @Context() context: RequestContext,
    @Param() { vehicleId }: OffRoadPeriodVehicleParamsDto,
    @Query() query: PageQueryDto,
  ): Promise<OffRoadPeriodPageDto> {
    return this.offRoadPeriods.list(context, vehicleId, query);
  }

  /** Records that a vehicle stands, or stood, off the road; its due items follow. */
  @Post('vehicles/:vehicleId/off-road-periods')
  @Allow(recorders)
  create(
    @Context() context: RequestContext,
    @Param() { vehicleId }: OffRoadPeriodVehicleParamsDto,
    @Body() body: CreateOffRoadPeriodDto,
  ): Promise<OffRoadPeriodDto> {
    return this.offRoadPeriods.create(context, vehicleId, body);
  }

  /** Reads one off-road period. */
  @Get('off-road-periods/:offRoadPeriodId')
  @Allow(everybody)
  get(
    @Context() context: RequestContext,
    @Param() { offRoadPeriodId }: OffRoadPeriodParamsDto,
  ): Promise<OffRoadPeriodDto> {
    return this.offRoadPeriods.get(context, offRoadPeriodId);
  }

  /** Takes back an off-road period that was recorded by mistake; its due items follow. */
  @Delete('off-road-periods/:offRoadPeriodId')
  @HttpCode(204)
  @Allow(recorders)
  delete(
    @Context() context: RequestContext,
    @Param() { offRoadPeriodId }: OffRoadPeriodParamsDto,
    @IfMatch() revision: number,
  ): Promise<void> {
    return this.offRoadPeriods.delete(context, offRoadPeriodId, revision);
  }
}
