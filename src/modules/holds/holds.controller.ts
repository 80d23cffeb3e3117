import { Body, Controller, Get, HttpCode, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, planners } from '../../platform/security/role';
import { HeldVehicleParamsDto, HoldParamsDto, ListHoldsQueryDto } from './dto/hold-params.dto';
import { ManualHoldDto } from './dto/manual-hold.dto';
import { HeldVehiclePageDto, VehicleHoldDto } from './dto/vehicle-hold.dto';
import { LiftHoldDto, PlaceHoldDto } from './dto/write-hold.dto';
import { HoldsService } from './holds.service';

@ApiTags('holds')
@Controller('v1')
export class HoldsController {
  constructor(private readonly holds: HoldsService) {}

  /** Lists the vehicles that are on hold today at their depots, with the reasons. */
  @Get('holds')
  @Allow(everybody)
  list(@Context() context: RequestContext, @Query() query: ListHoldsQueryDto): Promise<HeldVehiclePageDto> {
    return this.holds.list(context, query);
  }

  /** Tells whether a vehicle may be released to the road today, and every reason why not. */
  @Get('vehicles/:vehicleId/hold')
  @Allow(everybody)
  ofVehicle(
    @Context() context: RequestContext,
    @Param() { vehicleId }: HeldVehicleParamsDto,
  ): Promise<VehicleHoldDto> {
    return this.holds.ofVehicle(context, vehicleId);
  }

  /** Keeps a vehicle off the road until somebody lifts the hold. */
  @Post('vehicles/:vehicleId/holds')
  @Allow(everybody)
  place(
    @Context() context: RequestContext,
    @Param() { vehicleId }: HeldVehicleParamsDto,
    @Body() body: PlaceHoldDto,
  ): Promise<ManualHoldDto> {
    return this.holds.place(context, vehicleId, body);
  }

  /** Lifts a hold that a person placed. */
  @Post('holds/:holdId/lift')
  @HttpCode(200)
  @Allow(planners)
  lift(
    @Context() context: RequestContext,
    @Param() { holdId }: HoldParamsDto,
    @IfMatch() revision: number,
    @Body() body: LiftHoldDto,
  ): Promise<ManualHoldDto> {
    return this.holds.lift(context, holdId, revision, body);
  }
}
