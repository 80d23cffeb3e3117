import { Body, Controller, Get, Param, Patch, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { PageQueryDto } from '../../platform/http/page-query.dto';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, planners } from '../../platform/security/role';
import { GasUnitTypeParamsDto } from './dto/gas-unit-type-params.dto';
import { GasUnitTypeDto, GasUnitTypePageDto } from './dto/gas-unit-type.dto';
import { CreateGasUnitTypeDto, UpdateGasUnitTypeDto } from './dto/write-gas-unit-type.dto';
import { GasUnitTypesService } from './gas-unit-types.service';

@ApiTags('gas unit types')
@Controller('v1/gas-unit-types')
export class GasUnitTypesController {
  constructor(private readonly types: GasUnitTypesService) {}

  /** Lists the types of gas units. */
  @Get()
  @Allow(everybody)
  list(@Context() context: RequestContext, @Query() query: PageQueryDto): Promise<GasUnitTypePageDto> {
    return this.types.list(context, query);
  }

  /** Adds a type of gas unit, with the figures of its maker. */
  @Post()
  @Allow(planners)
  create(@Context() context: RequestContext, @Body() body: CreateGasUnitTypeDto): Promise<GasUnitTypeDto> {
    return this.types.create(context, body);
  }

  /** Reads one type of gas unit. */
  @Get(':gasUnitTypeId')
  @Allow(everybody)
  get(
    @Context() context: RequestContext,
    @Param() { gasUnitTypeId }: GasUnitTypeParamsDto,
  ): Promise<GasUnitTypeDto> {
    return this.types.get(context, gasUnitTypeId);
  }

  /**
   * Changes a type of gas unit. Another nominal precharge moves the due dates of the vehicles with such units.
   * Takes a key that sees all fleets.
   */
  @Patch(':gasUnitTypeId')
  @Allow(planners)
  update(
    @Context() context: RequestContext,
    @Param() { gasUnitTypeId }: GasUnitTypeParamsDto,
    @IfMatch() revision: number,
    @Body() body: UpdateGasUnitTypeDto,
  ): Promise<GasUnitTypeDto> {
    return this.types.update(context, gasUnitTypeId, revision, body);
  }
}
