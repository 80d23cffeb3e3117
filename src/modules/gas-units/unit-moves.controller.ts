import { Body, Controller, Delete, Get, HttpCode, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, workshopAndRecorders } from '../../platform/security/role';
import {
  UnitPlacementParamsDto,
  UnitVehicleParamsDto,
  VehiclePlacementsQueryDto,
  VehicleUnitPositionsQueryDto,
} from './dto/gas-unit-params.dto';
import { CreateUnitMovesDto, RecordedUnitMovesDto } from './dto/unit-move.dto';
import { UnitPlacementDto, UnitPlacementPageDto } from './dto/unit-placement.dto';
import { VehicleUnitPositionsDto } from './dto/vehicle-unit-position.dto';
import { UnitMovesService } from './unit-moves.service';
import { UnitPlacementsService } from './unit-placements.service';

@ApiTags('unit moves')
@Controller('v1')
export class UnitMovesController {
  constructor(
    private readonly moves: UnitMovesService,
    private readonly placements: UnitPlacementsService,
  ) {}

  /** Records moves of gas units that belong together, an exchange for example: all of them, or none. */
  @Post('unit-moves')
  @Allow(workshopAndRecorders)
  create(
    @Context() context: RequestContext,
    @Body() body: CreateUnitMovesDto,
  ): Promise<RecordedUnitMovesDto> {
    return this.moves.create(context, body);
  }

  /** Reads where a gas unit was for one period. Its ETag is that of the unit. */
  @Get('unit-placements/:placementId')
  @Allow(everybody)
  get(
    @Context() context: RequestContext,
    @Param() { placementId }: UnitPlacementParamsDto,
  ): Promise<UnitPlacementDto> {
    return this.placements.get(context, placementId);
  }

  /** Takes back the latest move of a gas unit, where it was recorded by mistake: the unit is where it was before. */
  @Delete('unit-placements/:placementId')
  @HttpCode(204)
  @Allow(workshopAndRecorders)
  undo(
    @Context() context: RequestContext,
    @Param() { placementId }: UnitPlacementParamsDto,
    @IfMatch() revision: number,
  ): Promise<void> {
    return this.moves.undo(context, placementId, revision);
  }

  /** Lists every position of a vehicle with the gas unit that is there, or was there at a moment. */
  @Get('vehicles/:vehicleId/unit-positions')
  @Allow(everybody)
  positionsOfVehicle(
    @Context() context: RequestContext,
    @Param() { vehicleId }: UnitVehicleParamsDto,
    @Query() query: VehicleUnitPositionsQueryDto,
  ): Promise<VehicleUnitPositionsDto> {
    return this.placements.positionsOf(context, vehicleId, query);
  }

  /** Lists which gas units were fitted to a vehicle, or to one position of it, latest first. */
  @Get('vehicles/:vehicleId/unit-placements')
  @Allow(everybody)
  placementsOfVehicle(
    @Context() context: RequestContext,
    @Param() { vehicleId }: UnitVehicleParamsDto,
    @Query() query: VehiclePlacementsQueryDto,
  ): Promise<UnitPlacementPageDto> {
    return this.placements.ofVehicle(context, vehicleId, query);
  }
}
