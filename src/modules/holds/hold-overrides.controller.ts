import { Body, Controller, Get, HttpCode, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { PageQueryDto } from '../../platform/http/page-query.dto';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, planners } from '../../platform/security/role';
import { HoldOverrideDto, HoldOverridePageDto, RecordedOverrideDto } from './dto/hold-override.dto';
import { HeldVehicleParamsDto, HoldOverrideParamsDto } from './dto/hold-params.dto';
import { OverrideHoldDto } from './dto/write-hold.dto';
import { HoldOverridesService } from './hold-overrides.service';

@ApiTags('holds')
@Controller('v1')
export class HoldOverridesController {
  constructor(private readonly overrides: HoldOverridesService) {}

  /** Lists the overrides of a vehicle, latest first, the expired and revoked ones too. */
  @Get('vehicles/:vehicleId/hold-overrides')
  @Allow(everybody)
  list(
    @Context() context: RequestContext,
    @Param() { vehicleId }: HeldVehicleParamsDto,
    @Query() query: PageQueryDto,
  ): Promise<HoldOverridePageDto> {
    return this.overrides.list(context, vehicleId, query);
  }

  /**
   * Records a named person's decision to let a vehicle go in spite of some reasons, for 30 days at most. The
   * software only advises: the maker's manual, local law and a licensed person decide.
   */
  @Post('vehicles/:vehicleId/hold-overrides')
  @Allow(planners)
  create(
    @Context() context: RequestContext,
    @Param() { vehicleId }: HeldVehicleParamsDto,
    @Body() body: OverrideHoldDto,
  ): Promise<RecordedOverrideDto> {
    return this.overrides.create(context, vehicleId, body);
  }

  /** Takes an override back; the reasons that it lifted hold the vehicle again. */
  @Post('hold-overrides/:overrideId/revoke')
  @HttpCode(200)
  @Allow(planners)
  revoke(
    @Context() context: RequestContext,
    @Param() { overrideId }: HoldOverrideParamsDto,
    @IfMatch() revision: number,
  ): Promise<HoldOverrideDto> {
    return this.overrides.revoke(context, overrideId, revision);
  }
}
