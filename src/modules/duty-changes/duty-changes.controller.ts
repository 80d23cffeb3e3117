import { Body, Controller, Delete, Get, HttpCode, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { PageQueryDto } from '../../platform/http/page-query.dto';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, recorders } from '../../platform/security/role';
import { DutyChangesService } from './duty-changes.service';
import { DutyChangeParamsDto, DutyChangeVehicleParamsDto } from './dto/duty-change-params.dto';
import { DutyChangeDto, DutyChangePageDto } from './dto/duty-change.dto';
import { CreateDutyChangeDto } from './dto/write-duty-change.dto';

@ApiTags('duty changes')
@Controller('v1')
export class DutyChangesController {
  constructor(private readonly dutyChanges: DutyChangesService) {}

  /** Lists the duty changes of a vehicle, earliest first. */
  @Get('vehicles/:vehicleId/duty-changes')
  @Allow(everybody)
  list(
    @Context() context: RequestContext,
    @Param() { vehicleId }: DutyChangeVehicleParamsDto,
    @Query() query: PageQueryDto,
  ): Promise<DutyChangePageDto> {
    return this.dutyChanges.list(context, vehicleId, query);
  }

  /** Records that a vehicle has changed its duty; its due items follow. */
  @Post('vehicles/:vehicleId/duty-changes')
  @Allow(recorders)
  create(
    @Context() context: RequestContext,
    @Param() { vehicleId }: DutyChangeVehicleParamsDto,
    @Body() body: CreateDutyChangeDto,
  ): Promise<DutyChangeDto> {
    return this.dutyChanges.create(context, vehicleId, body);
  }

  /** Reads one duty change. */
  @Get('duty-changes/:dutyChangeId')
  @Allow(everybody)
  get(
    @Context() context: RequestContext,
    @Param() { dutyChangeId }: DutyChangeParamsDto,
  ): Promise<DutyChangeDto> {
    return this.dutyChanges.get(context, dutyChangeId);
  }

  /** Takes back a duty change that was recorded by mistake; its due items follow. */
  @Delete('duty-changes/:dutyChangeId')
  @HttpCode(204)
  @Allow(recorders)
  delete(
    @Context() context: RequestContext,
    @Param() { dutyChangeId }: DutyChangeParamsDto,
    @IfMatch() revision: number,
  ): Promise<void> {
    return this.dutyChanges.delete(context, dutyChangeId, revision);
  }
}
