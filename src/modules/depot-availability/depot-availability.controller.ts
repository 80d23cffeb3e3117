import { Controller, Get, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody } from '../../platform/security/role';
import { DepotAvailabilityService } from './depot-availability.service';
import { DepotDaysQueryDto } from './dto/depot-days-query.dto';
import { DepotAvailabilityByDayDto } from './dto/depot-days.dto';

@ApiTags('depot availability')
@Controller('v1/depot-availability')
export class DepotAvailabilityController {
  constructor(private readonly availability: DepotAvailabilityService) {}

  /** Tells by day how many vehicles each depot has for its roster, less those that are booked or off the road. */
  @Get()
  @Allow(everybody)
  byDay(
    @Context() context: RequestContext,
    @Query() query: DepotDaysQueryDto,
  ): Promise<DepotAvailabilityByDayDto> {
    return this.availability.byDay(context, query);
  }
}
