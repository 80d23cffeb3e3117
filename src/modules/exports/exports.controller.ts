import { Controller, Get, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody } from '../../platform/security/role';
import { ListExportQueryDto } from './dto/export-query.dto';
import {
  ExportedVehiclePageDto,
  ExportedDutyChangePageDto,
  ExportedHydraulicLayoutPageDto,
  ExportedOdometerReplacementPageDto,
  ExportedOffRoadPeriodPageDto,
  ExportedOdometerReadingPageDto,
  ExportedServiceHistoryPageDto,
  ExportedGasUnitPageDto,
  ExportedUnitPlacementPageDto,
  ExportedUnitTestPageDto,
} from './dto/export-lines.dto';
import { ExportsService } from './exports.service';

/**
 * Records in the form in which files bring them in: asked for as `text/csv`, what is answered can be handed to
 * `POST /v1/imports?kind=` again, and changes nothing there. Records are named by the operator's keys; those of a vehicle,
 * depot, fleet or unit without a key are left out.
 */
@ApiTags('exports')
@Controller('v1/exports')
export class ExportsController {
  constructor(private readonly exports: ExportsService) {}

  /** Lists vehicles in the form of a file of the kind `vehicles`. */
  @Get('vehicles')
  @Allow(everybody)
  vehicles(
    @Context() context: RequestContext,
    @Query() query: ListExportQueryDto,
  ): Promise<ExportedVehiclePageDto> {
    return this.exports.list(context, 'vehicles', query);
  }

  /** Lists changes of duty of all vehicles in the form of a file. */
  @Get('duty-changes')
  @Allow(everybody)
  dutyChanges(
    @Context() context: RequestContext,
    @Query() query: ListExportQueryDto,
  ): Promise<ExportedDutyChangePageDto> {
    return this.exports.list(context, 'duty-changes', query);
  }

  /** Lists the layouts that are on record now, in the form of a file. Evidence is told where it is the same for all facts. */
  @Get('hydraulic-layouts')
  @Allow(everybody)
  hydraulicLayouts(
    @Context() context: RequestContext,
    @Query() query: ListExportQueryDto,
  ): Promise<ExportedHydraulicLayoutPageDto> {
    return this.exports.list(context, 'hydraulic-layouts', query);
  }

  /** Lists replaced instruments of all vehicles in the form of a file. */
  @Get('odometer-replacements')
  @Allow(everybody)
  odometerReplacements(
    @Context() context: RequestContext,
    @Query() query: ListExportQueryDto,
  ): Promise<ExportedOdometerReplacementPageDto> {
    return this.exports.list(context, 'odometer-replacements', query);
  }

  /** Lists days off the road of all vehicles in the form of a file. */
  @Get('off-road-periods')
  @Allow(everybody)
  offRoadPeriods(
    @Context() context: RequestContext,
    @Query() query: ListExportQueryDto,
  ): Promise<ExportedOffRoadPeriodPageDto> {
    return this.exports.list(context, 'off-road-periods', query);
  }

  /** Lists readings of all vehicles in the form of a file, those that were rejected left out. */
  @Get('odometer-readings')
  @Allow(everybody)
  odometerReadings(
    @Context() context: RequestContext,
    @Query() query: ListExportQueryDto,
  ): Promise<ExportedOdometerReadingPageDto> {
    return this.exports.list(context, 'odometer-readings', query);
  }

  /** Lists work done on all vehicles in the form of a file, voided records left out. */
  @Get('service-history')
  @Allow(everybody)
  serviceHistory(
    @Context() context: RequestContext,
    @Query() query: ListExportQueryDto,
  ): Promise<ExportedServiceHistoryPageDto> {
    return this.exports.list(context, 'service-history', query);
  }

  /** Lists gas units in the form of a file. */
  @Get('gas-units')
  @Allow(everybody)
  gasUnits(
    @Context() context: RequestContext,
    @Query() query: ListExportQueryDto,
  ): Promise<ExportedGasUnitPageDto> {
    return this.exports.list(context, 'gas-units', query);
  }

  /** Lists where gas units were, in the form of a file; with whom they were while away is not in it. */
  @Get('unit-placements')
  @Allow(everybody)
  unitPlacements(
    @Context() context: RequestContext,
    @Query() query: ListExportQueryDto,
  ): Promise<ExportedUnitPlacementPageDto> {
    return this.exports.list(context, 'unit-placements', query);
  }

  /** Lists what was measured on gas units in the form of a file, voided records left out. */
  @Get('unit-tests')
  @Allow(everybody)
  unitTests(
    @Context() context: RequestContext,
    @Query() query: ListExportQueryDto,
  ): Promise<ExportedUnitTestPageDto> {
    return this.exports.list(context, 'unit-tests', query);
  }
}
