import { Body, Controller, Get, Param, Patch, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { PageQueryDto } from '../../platform/http/page-query.dto';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { administrators, everybody, planners } from '../../platform/security/role';
import { FleetParamsDto } from './dto/fleet-params.dto';
import { FleetDto, FleetPageDto } from './dto/fleet.dto';
import { CreateFleetDto, UpdateFleetDto } from './dto/write-fleet.dto';
import { FleetsService } from './fleets.service';

@ApiTags('fleets')
@Controller('v1/fleets')
export class FleetsController {
  constructor(private readonly fleets: FleetsService) {}

  /** Lists fleets. */
  @Get()
  @Allow(everybody)
  list(@Context() context: RequestContext, @Query() query: PageQueryDto): Promise<FleetPageDto> {
    return this.fleets.list(context, query);
  }

  /** Adds a fleet. */
  @Post()
  @Allow(administrators)
  create(@Context() context: RequestContext, @Body() body: CreateFleetDto): Promise<FleetDto> {
    return this.fleets.create(context, body);
  }

  /** Reads one fleet. */
  @Get(':fleetId')
  @Allow(everybody)
  get(@Context() context: RequestContext, @Param() { fleetId }: FleetParamsDto): Promise<FleetDto> {
    return this.fleets.get(context, fleetId);
  }

  /** Changes a fleet. Another service programme moves the due dates of its vehicles. */
  @Patch(':fleetId')
  @Allow(planners)
  update(
    @Context() context: RequestContext,
    @Param() { fleetId }: FleetParamsDto,
    @IfMatch() revision: number,
    @Body() body: UpdateFleetDto,
  ): Promise<FleetDto> {
    return this.fleets.update(context, fleetId, revision, body);
  }
}
