import { Body, Controller, Get, HttpCode, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { deciders, everybody, workshopAndRecorders } from '../../platform/security/role';
import {
  GasUnitEventParamsDto,
  ListGasUnitEventsQueryDto,
  MeasuredUnitParamsDto,
} from './dto/gas-unit-event-query.dto';
import { GasUnitEventDto, GasUnitEventPageDto } from './dto/gas-unit-event.dto';
import { RecordedGasUnitEventDto } from './dto/recorded-gas-unit-event.dto';
import { RecordChargeDto, RecordPrechargeTestDto, VoidGasUnitEventDto } from './dto/write-gas-unit-event.dto';
import { GasUnitEventsService } from './gas-unit-events.service';

@ApiTags('gas unit events')
@Controller('v1')
export class GasUnitEventsController {
  constructor(private readonly events: GasUnitEventsService) {}

  /** Lists the precharge tests and charges of a gas unit, the latest first. */
  @Get('gas-units/:gasUnitId/events')
  @Allow(everybody)
  list(
    @Context() context: RequestContext,
    @Param() { gasUnitId }: MeasuredUnitParamsDto,
    @Query() query: ListGasUnitEventsQueryDto,
  ): Promise<GasUnitEventPageDto> {
    return this.events.list(context, gasUnitId, query);
  }

  /** Records a precharge test: answers the precharge at 20 °C, whether it passed, and what became due or is settled. */
  @Post('gas-units/:gasUnitId/precharge-tests')
  @Allow(workshopAndRecorders)
  recordTest(
    @Context() context: RequestContext,
    @Param() { gasUnitId }: MeasuredUnitParamsDto,
    @Body() body: RecordPrechargeTestDto,
  ): Promise<RecordedGasUnitEventDto> {
    return this.events.record(context, gasUnitId, 'precharge-test', body);
  }

  /** Records a charge with dry nitrogen by the pressure and temperature at its end. */
  @Post('gas-units/:gasUnitId/charges')
  @Allow(workshopAndRecorders)
  recordCharge(
    @Context() context: RequestContext,
    @Param() { gasUnitId }: MeasuredUnitParamsDto,
    @Body() body: RecordChargeDto,
  ): Promise<RecordedGasUnitEventDto> {
    return this.events.record(context, gasUnitId, 'charge', body);
  }

  /** Reads one precharge test or charge. */
  @Get('gas-unit-events/:eventId')
  @Allow(everybody)
  get(
    @Context() context: RequestContext,
    @Param() { eventId }: GasUnitEventParamsDto,
  ): Promise<GasUnitEventDto> {
    return this.events.get(context, eventId);
  }

  /** Takes back a test or charge that was recorded by mistake: it stays on file and counts no more. */
  @Post('gas-unit-events/:eventId/void')
  @HttpCode(200)
  @Allow(deciders)
  void(
    @Context() context: RequestContext,
    @Param() { eventId }: GasUnitEventParamsDto,
    @IfMatch() revision: number,
    @Body() { reason }: VoidGasUnitEventDto,
  ): Promise<GasUnitEventDto> {
    return this.events.void(context, eventId, revision, reason);
  }
}
