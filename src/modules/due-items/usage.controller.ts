import { Controller, Get, Param, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody } from '../../platform/security/role';
import { UsageParamsDto, UsageQueryDto } from './dto/usage-query.dto';
import { UsageDto } from './dto/usage.dto';
import { UsageService } from './usage.service';

@ApiTags('usage')
@Controller('v1')
export class UsageController {
  constructor(private readonly usage: UsageService) {}

  /** Tells how a vehicle is used now, and what its meter will show on a day, with the interval. */
  @Get('vehicles/:vehicleId/usage')
  @Allow(everybody)
  ofVehicle(
    @Context() context: RequestContext,
    @Param() { vehicleId }: UsageParamsDto,
    @Query() query: UsageQueryDto,
  ): Promise<UsageDto> {
    return this.usage.ofVehicle(context, vehicleId, query);
  }
}
