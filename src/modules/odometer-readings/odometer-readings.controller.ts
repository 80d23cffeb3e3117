import { Body, Controller, Get, HttpCode, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { deciders, everybody, workshopAndRecorders } from '../../platform/security/role';
import {
  ListReadingsQueryDto,
  ListVehicleReadingsQueryDto,
  ReadingParamsDto,
  ReadingVehicleParamsDto,
} from './dto/odometer-reading-query.dto';
import {
  DecidedReadingDto,
  FleetOdometerReadingPageDto,
  OdometerReadingDto,
  OdometerReadingPageDto,
} from './dto/odometer-reading.dto';
import { CreateOdometerReadingDto, DecideReadingDto } from './dto/write-odometer-reading.dto';
import { OdometerReadingsService } from './odometer-readings.service';

@ApiTags('odometer readings')
@Controller('v1')
export class OdometerReadingsController {
  constructor(private readonly readings: OdometerReadingsService) {}

  /** Lists the readings of a vehicle, newest first. */
  @Get('vehicles/:vehicleId/odometer-readings')
  @Allow(everybody)
  listOfVehicle(
    @Context() context: RequestContext,
    @Param() { vehicleId }: ReadingVehicleParamsDto,
    @Query() query: ListVehicleReadingsQueryDto,
  ): Promise<OdometerReadingPageDto> {
    return this.readings.listOfVehicle(context, vehicleId, query);
  }

  /** Records a reading. One that cannot be right is quarantined, and moves no due date until it is decided. */
  @Post('vehicles/:vehicleId/odometer-readings')
  @Allow(workshopAndRecorders)
  create(
    @Context() context: RequestContext,
    @Param() { vehicleId }: ReadingVehicleParamsDto,
    @Body() body: CreateOdometerReadingDto,
  ): Promise<OdometerReadingDto> {
    return this.readings.create(context, vehicleId, body);
  }

  /** Lists readings over vehicles in the order of recording, such as all that wait for a decision. */
  @Get('odometer-readings')
  @Allow(everybody)
  list(
    @Context() context: RequestContext,
    @Query() query: ListReadingsQueryDto,
  ): Promise<FleetOdometerReadingPageDto> {
    return this.readings.list(context, query);
  }

  /** Reads one reading. */
  @Get('odometer-readings/:readingId')
  @Allow(everybody)
  get(
    @Context() context: RequestContext,
    @Param() { readingId }: ReadingParamsDto,
  ): Promise<OdometerReadingDto> {
    return this.readings.get(context, readingId);
  }

  /** Decides about a quarantined reading, or rejects one that was accepted on entry; due items follow. */
  @Post('odometer-readings/:readingId/decision')
  @HttpCode(200)
  @Allow(deciders)
  decide(
    @Context() context: RequestContext,
    @Param() { readingId }: ReadingParamsDto,
    @IfMatch() revision: number,
    @Body() body: DecideReadingDto,
  ): Promise<DecidedReadingDto> {
    return this.readings.decide(context, readingId, revision, body);
  }
}
