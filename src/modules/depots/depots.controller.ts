import { Body, Controller, Get, Param, Patch, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, planners } from '../../platform/security/role';
import { DepotsService } from './depots.service';
import { DepotParamsDto, ListDepotsQueryDto } from './dto/depot-params.dto';
import { DepotDto, DepotPageDto } from './dto/depot.dto';
import { CreateDepotDto, UpdateDepotDto } from './dto/write-depot.dto';

@ApiTags('depots')
@Controller('v1/depots')
export class DepotsController {
  constructor(private readonly depots: DepotsService) {}

  /** Lists depots. */
  @Get()
  @Allow(everybody)
  list(@Context() context: RequestContext, @Query() query: ListDepotsQueryDto): Promise<DepotPageDto> {
    return this.depots.list(context, query);
  }

  /** Adds a depot to a fleet. */
  @Post()
  @Allow(planners)
  create(@Context() context: RequestContext, @Body() body: CreateDepotDto): Promise<DepotDto> {
    return this.depots.create(context, body);
  }

  /** Reads one depot. */
  @Get(':depotId')
  @Allow(everybody)
  get(@Context() context: RequestContext, @Param() { depotId }: DepotParamsDto): Promise<DepotDto> {
    return this.depots.get(context, depotId);
  }

  /** Changes a depot. A change of zone moves the due dates of its vehicles. */
  @Patch(':depotId')
  @Allow(planners)
  update(
    @Context() context: RequestContext,
    @Param() { depotId }: DepotParamsDto,
    @IfMatch() revision: number,
    @Body() body: UpdateDepotDto,
  ): Promise<DepotDto> {
    return this.depots.update(context, depotId, revision, body);
  }
}
