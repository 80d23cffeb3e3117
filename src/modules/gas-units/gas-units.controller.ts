import { Body, Controller, Get, Param, Patch, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, workshopAndRecorders } from '../../platform/security/role';
import {
  FittingPreviewQueryDto,
  GasUnitParamsDto,
  GasUnitStockQueryDto,
  ListGasUnitsQueryDto,
  UnitPlacementsQueryDto,
} from './dto/gas-unit-params.dto';
import {
  AddedGasUnitDto,
  GasUnitDetailsDto,
  GasUnitDto,
  GasUnitPageDto,
  GasUnitStockDto,
} from './dto/gas-unit.dto';
import { FittingPreviewDto } from './dto/unit-move.dto';
import { UnitPlacementPageDto } from './dto/unit-placement.dto';
import { CreateGasUnitDto, UpdateGasUnitDto } from './dto/write-gas-unit.dto';
import { GasUnitsService } from './gas-units.service';
import { UnitMovesService } from './unit-moves.service';
import { UnitPlacementsService } from './unit-placements.service';

@ApiTags('gas units')
@Controller('v1')
export class GasUnitsController {
  constructor(
    private readonly units: GasUnitsService,
    private readonly placements: UnitPlacementsService,
    private readonly moves: UnitMovesService,
  ) {}

  /** Lists gas units with where they are. */
  @Get('gas-units')
  @Allow(everybody)
  list(@Context() context: RequestContext, @Query() query: ListGasUnitsQueryDto): Promise<GasUnitPageDto> {
    return this.units.list(context, query);
  }

  /** Adds a gas unit: on the shelf unless said otherwise. */
  @Post('gas-units')
  @Allow(workshopAndRecorders)
  create(@Context() context: RequestContext, @Body() body: CreateGasUnitDto): Promise<AddedGasUnitDto> {
    return this.units.create(context, body);
  }

  /** Reads one gas unit, where it is, and the cautions for whoever takes it out or charges it. */
  @Get('gas-units/:gasUnitId')
  @Allow(everybody)
  get(
    @Context() context: RequestContext,
    @Param() { gasUnitId }: GasUnitParamsDto,
  ): Promise<GasUnitDetailsDto> {
    return this.units.get(context, gasUnitId);
  }

  /** Changes what is recorded of a gas unit itself; where it is, is changed by a move. */
  @Patch('gas-units/:gasUnitId')
  @Allow(workshopAndRecorders)
  update(
    @Context() context: RequestContext,
    @Param() { gasUnitId }: GasUnitParamsDto,
    @IfMatch() revision: number,
    @Body() body: UpdateGasUnitDto,
  ): Promise<GasUnitDto> {
    return this.units.update(context, gasUnitId, revision, body);
  }

  /** Lists where a gas unit was, latest first, or where it was at one moment. */
  @Get('gas-units/:gasUnitId/placements')
  @Allow(everybody)
  placementsOfUnit(
    @Context() context: RequestContext,
    @Param() { gasUnitId }: GasUnitParamsDto,
    @Query() query: UnitPlacementsQueryDto,
  ): Promise<UnitPlacementPageDto> {
    return this.placements.ofUnit(context, gasUnitId, query);
  }

  /** Tells what a gas unit would owe at a position of a vehicle, or why it cannot go there; nothing is stored. */
  @Get('gas-units/:gasUnitId/fitting-preview')
  @Allow(everybody)
  fittingPreview(
    @Context() context: RequestContext,
    @Param() { gasUnitId }: GasUnitParamsDto,
    @Query() query: FittingPreviewQueryDto,
  ): Promise<FittingPreviewDto> {
    return this.moves.preview(context, gasUnitId, query);
  }

  /** Counts gas units by depot, type and state. */
  @Get('gas-unit-stock')
  @Allow(everybody)
  stock(@Context() context: RequestContext, @Query() query: GasUnitStockQueryDto): Promise<GasUnitStockDto> {
    return this.units.stock(context, query);
  }
}
