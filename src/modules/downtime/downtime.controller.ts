import { Controller, Get, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody } from '../../platform/security/role';
import { DowntimeService } from './downtime.service';
import {
  DowntimePageDto,
  IndicatorsQueryDto,
  ListDowntimeQueryDto,
  MaintenanceIndicatorsDto,
} from './dto/downtime.dto';

@ApiTags('downtime')
@Controller('v1')
export class DowntimeController {
  constructor(private readonly downtime: DowntimeService) {}

  /** Lists how long vehicles were down in workshops, in order of arrival. */
  @Get('downtime-records')
  @Allow(everybody)
  list(@Context() context: RequestContext, @Query() query: ListDowntimeQueryDto): Promise<DowntimePageDto> {
    return this.downtime.list(context, query);
  }

  /** Indicators of maintenance over a period, for all vehicles or by fleet, depot, vehicle or workshop. */
  @Get('maintenance-indicators')
  @Allow(everybody)
  indicators(
    @Context() context: RequestContext,
    @Query() query: IndicatorsQueryDto,
  ): Promise<MaintenanceIndicatorsDto> {
    return this.downtime.indicators(context, query);
  }
}
