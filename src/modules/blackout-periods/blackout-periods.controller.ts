import { Body, Controller, Delete, Get, HttpCode, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { PageQueryDto } from '../../platform/http/page-query.dto';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, planners } from '../../platform/security/role';
import { BlackoutPeriodsService } from './blackout-periods.service';
import { BlackoutPeriodParamsDto, BlackoutPeriodVehicleParamsDto } from './dto/blackout-period-params.dto';
import { BlackoutPeriodDto, BlackoutPeriodPageDto } from './dto/blackout-period.dto';
import { CreateBlackoutPeriodDto } from './dto/write-blackout-period.dto';

@ApiTags('blackout periods')
@Controller('v1/vehicles/:vehicleId/blackout-periods')
export class BlackoutPeriodsController {
  constructor(private readonly blackoutPeriods: BlackoutPeriodsService) {}

  /** Lists the days on which a vehicle has to stay on the road, earliest first. */
  @Get()
  @Allow(everybody)
  list(
    @Context() context: RequestContext,
    @Param() { vehicleId }: BlackoutPeriodVehicleParamsDto,
    @Query() query: PageQueryDto,
  ): Promise<BlackoutPeriodPageDto> {
    return this.blackoutPeriods.list(context, vehicleId, query);
  }

  /** Says on which days a vehicle has to stay on the road; plans take it off on other days. */
  @Post()
  @Allow(planners)
  create(
    @Context() context: RequestContext,
    @Param() { vehicleId }: BlackoutPeriodVehicleParamsDto,
    @Body() body: CreateBlackoutPeriodDto,
  ): Promise<BlackoutPeriodDto> {
    return this.blackoutPeriods.create(context, vehicleId, body);
  }

  /** Reads one blackout period. */
  @Get(':blackoutPeriodId')
  @Allow(everybody)
  get(
    @Context() context: RequestContext,
    @Param() { vehicleId, blackoutPeriodId }: BlackoutPeriodParamsDto,
  ): Promise<BlackoutPeriodDto> {
    return this.blackoutPeriods.get(context, vehicleId, blackoutPeriodId);
  }

  /** Takes a blackout period back. */
  @Delete(':blackoutPeriodId')
  @HttpCode(204)
  @Allow(planners)
  delete(
    @Context() context: RequestContext,
    @Param() { vehicleId, blackoutPeriodId }: BlackoutPeriodParamsDto,
    @IfMatch() revision: number,
  ): Promise<void> {
    return this.blackoutPeriods.delete(context, vehicleId, blackoutPeriodId, revision);
  }
}
