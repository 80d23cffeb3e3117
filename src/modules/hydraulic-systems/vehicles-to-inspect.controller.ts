import { Controller, Get, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody } from '../../platform/security/role';
import { ToInspectQueryDto } from './dto/hydraulic-system-params.dto';
import { VehicleToInspectPageDto } from './dto/vehicle-to-inspect.dto';
import { VehiclesToInspectService } from './vehicles-to-inspect.service';

@ApiTags('hydraulic systems')
@Controller('v1/hydraulic-systems')
export class VehiclesToInspectController {
  constructor(private readonly vehicles: VehiclesToInspectService) {}

  /** Lists the vehicles of which something must still be looked at, most urgent first. */
  @Get('to-inspect')
  @Allow(everybody)
  list(
    @Context() context: RequestContext,
    @Query() query: ToInspectQueryDto,
  ): Promise<VehicleToInspectPageDto> {
    return this.vehicles.list(context, query);
  }
}
