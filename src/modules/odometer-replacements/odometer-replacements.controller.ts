import { Body, Controller, Delete, Get, HttpCode, Param, Patch, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { PageQueryDto } from '../../platform/http/page-query.dto';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, recorders, workshopAndRecorders } from '../../platform/security/role';
import {
  OdometerReplacementParamsDto,
  ReplacementVehicleParamsDto,
} from './dto/odometer-replacement-params.dto';
import {
  OdometerReplacementDto,
  OdometerReplacementPageDto,
  RecordedReplacementDto,
} from './dto/odometer-replacement.dto';
import {
  CreateOdometerReplacementDto,
  UpdateOdometerReplacementDto,
} from './dto/write-odometer-replacement.dto';
import { OdometerReplacementsService } from './odometer-replacements.service';

@ApiTags('odometer replacements')
@Controller('v1')
export class OdometerReplacementsController {
  constructor(private readonly replacements: OdometerReplacementsService) {}

  /** Lists the replacements of a vehicle's odometer and engine-hour meter, earliest first. */
  @Get('vehicles/:vehicleId/odometer-replacements')
  @Allow(everybody)
  list(
    @Context() context: RequestContext,
    @Param() { vehicleId }: ReplacementVehicleParamsDto,
    @Query() query: PageQueryDto,
  ): Promise<OdometerReplacementPageDto> {
    return this.replacements.list(context, vehicleId, query);
  }

  /** Records that an instrument was replaced; offers the quarantined readings that this explains. */
  @Post('vehicles/:vehicleId/odometer-replacements')
  @Allow(workshopAndRecorders)
  create(
    @Context() context: RequestContext,
    @Param() { vehicleId }: ReplacementVehicleParamsDto,
    @Body() body: CreateOdometerReplacementDto,
  ): Promise<RecordedReplacementDto> {
    return this.replacements.create(context, vehicleId, body);
  }

  /** Reads one replacement. */
  @Get('odometer-replacements/:replacementId')
  @Allow(everybody)
  get(
    @Context() context: RequestContext,
    @Param() { replacementId }: OdometerReplacementParamsDto,
  ): Promise<OdometerReplacementDto> {
    return this.replacements.get(context, replacementId);
  }

  /** Corrects the values of a replacement; totals and due items follow. */
  @Patch('odometer-replacements/:replacementId')
  @Allow(recorders)
  update(
    @Context() context: RequestContext,
    @Param() { replacementId }: OdometerReplacementParamsDto,
    @IfMatch() revision: number,
    @Body() body: UpdateOdometerReplacementDto,
  ): Promise<RecordedReplacementDto> {
    return this.replacements.update(context, replacementId, revision, body);
  }

  /** Takes back a replacement that was recorded by mistake, unless accepted readings rest on it. */
  @Delete('odometer-replacements/:replacementId')
  @HttpCode(204)
  @Allow(recorders)
  delete(
    @Context() context: RequestContext,
    @Param() { replacementId }: OdometerReplacementParamsDto,
    @IfMatch() revision: number,
  ): Promise<void> {
    return this.replacements.delete(context, replacementId, revision);
  }
}
