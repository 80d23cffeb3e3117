import { Body, Controller, Get, HttpCode, Param, Post, Put, Query } from '@nestjs/common';
import { ApiExtension, ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, workshopAndRecorders } from '../../platform/security/role';
import { HydraulicSystemParamsDto, LayoutHistoryQueryDto } from './dto/hydraulic-system-params.dto';
import { HydraulicSystemDto, LayoutVersionPageDto } from './dto/hydraulic-system.dto';
import { LayoutConclusionsDto } from './dto/layout-conclusions.dto';
import { DeriveHydraulicLayoutDto, RecordHydraulicSystemDto } from './dto/write-hydraulic-system.dto';
import { HydraulicSystemsService } from './hydraulic-systems.service';

@ApiTags('hydraulic systems')
@Controller('v1')
export class HydraulicSystemsController {
  constructor(private readonly systems: HydraulicSystemsService) {}

  /** Reads what is recorded of a vehicle's hydraulic system, with the evidence, and what follows from it. */
  @Get('vehicles/:vehicleId/hydraulic-system')
  @Allow(everybody)
  get(
    @Context() context: RequestContext,
    @Param() { vehicleId }: HydraulicSystemParamsDto,
  ): Promise<HydraulicSystemDto> {
    return this.systems.get(context, vehicleId);
  }

  /**
   * Records the facts of a hydraulic system; the version before stays on file. Facts that contradict each
   * other are refused. If-Match of the first record is `"r0"`.
   */
  @Put('vehicles/:vehicleId/hydraulic-system')
  @Allow(workshopAndRecorders)
  record(
    @Context() context: RequestContext,
    @Param() { vehicleId }: HydraulicSystemParamsDto,
    @IfMatch() revision: number,
    @Body() body: RecordHydraulicSystemDto,
  ): Promise<HydraulicSystemDto> {
    return this.systems.record(context, vehicleId, revision, body);
  }

  /** Lists the versions of a record, latest first, or the one that was valid at a moment. */
  @Get('vehicles/:vehicleId/hydraulic-system/history')
  @Allow(everybody)
  history(
    @Context() context: RequestContext,
    @Param() { vehicleId }: HydraulicSystemParamsDto,
    @Query() query: LayoutHistoryQueryDto,
  ): Promise<LayoutVersionPageDto> {
    return this.systems.history(context, vehicleId, query);
  }

  /** Tells what follows from the facts of a layout, contradictions included; nothing is stored. */
  @Post('calculations/hydraulic-layout')
  @HttpCode(200)
  @Allow(everybody, 'read')
  @ApiExtension('x-ignores-idempotency-key', true)
  derive(
    @Context() context: RequestContext,
    @Body() body: DeriveHydraulicLayoutDto,
  ): Promise<LayoutConclusionsDto> {
    return this.systems.derive(context, body);
  }
}
