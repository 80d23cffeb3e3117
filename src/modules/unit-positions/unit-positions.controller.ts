import { Body, Controller, Delete, Get, HttpCode, Param, Patch, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { PageQueryDto } from '../../platform/http/page-query.dto';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, planners } from '../../platform/security/role';
import { UnitPositionParamsDto } from './dto/unit-position-params.dto';
import { UnitPositionDto, UnitPositionPageDto } from './dto/unit-position.dto';
import { CreateUnitPositionDto, UpdateUnitPositionDto } from './dto/write-unit-position.dto';
import { UnitPositionsService } from './unit-positions.service';

@ApiTags('unit positions')
@Controller('v1/unit-positions')
export class UnitPositionsController {
  constructor(private readonly positions: UnitPositionsService) {}

  /** Lists the positions of gas units: the standard ones first, then your own. */
  @Get()
  @Allow(everybody)
  list(@Context() context: RequestContext, @Query() query: PageQueryDto): Promise<UnitPositionPageDto> {
    return this.positions.list(context, query);
  }

  /** Adds a position of your own. Takes a key that sees all fleets. */
  @Post()
  @Allow(planners)
  create(@Context() context: RequestContext, @Body() body: CreateUnitPositionDto): Promise<UnitPositionDto> {
    return this.positions.create(context, body);
  }

  /** Reads one of your own positions. */
  @Get(':unitPositionId')
  @Allow(everybody)
  get(
    @Context() context: RequestContext,
    @Param() { unitPositionId }: UnitPositionParamsDto,
  ): Promise<UnitPositionDto> {
    return this.positions.get(context, unitPositionId);
  }

  /** Changes one of your own positions; its role only while no unit ever sat there. Takes a key that sees all fleets. */
  @Patch(':unitPositionId')
  @Allow(planners)
  update(
    @Context() context: RequestContext,
    @Param() { unitPositionId }: UnitPositionParamsDto,
    @IfMatch() revision: number,
    @Body() body: UpdateUnitPositionDto,
  ): Promise<UnitPositionDto> {
    return this.positions.update(context, unitPositionId, revision, body);
  }

  /** Deletes one of your own positions at which no unit ever sat. Takes a key that sees all fleets. */
  @Delete(':unitPositionId')
  @HttpCode(204)
  @Allow(planners)
  delete(
    @Context() context: RequestContext,
    @Param() { unitPositionId }: UnitPositionParamsDto,
    @IfMatch() revision: number,
  ): Promise<void> {
    return this.positions.delete(context, unitPositionId, revision);
  }
}
