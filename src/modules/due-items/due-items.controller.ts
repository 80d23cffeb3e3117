import { Controller, Get, Param, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody } from '../../platform/security/role';
import { DueListService } from './due-list.service';
import { DueItemParamsDto, DueItemVehicleParamsDto, ListDueItemsQueryDto } from './dto/due-item-query.dto';
import { DueItemPageDto, ExplainedDueItemDto, VehicleDueItemsDto } from './dto/due-item.dto';

@ApiTags('due items')
@Controller('v1')
export class DueItemsController {
  constructor(private readonly dueItems: DueListService) {}

  /** Lists what is due over vehicles, soonest first; items without a date come last. */
  @Get('due-items')
  @Allow(everybody)
  list(@Context() context: RequestContext, @Query() query: ListDueItemsQueryDto): Promise<DueItemPageDto> {
    return this.dueItems.list(context, query);
  }

  /** Reads one due item with its reasoning. */
  @Get('due-items/:dueItemId')
  @Allow(everybody)
  get(
    @Context() context: RequestContext,
    @Param() { dueItemId }: DueItemParamsDto,
  ): Promise<ExplainedDueItemDto> {
    return this.dueItems.get(context, dueItemId);
  }

  /** Reads everything that is due on one vehicle. */
  @Get('vehicles/:vehicleId/due-items')
  @Allow(everybody)
  ofVehicle(
    @Context() context: RequestContext,
    @Param() { vehicleId }: DueItemVehicleParamsDto,
  ): Promise<VehicleDueItemsDto> {
    return this.dueItems.ofVehicle(context, vehicleId);
  }
}
