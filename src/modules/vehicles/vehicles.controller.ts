import { Body, Controller, Get, Param, Patch, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, recorders } from '../../platform/security/role';
import { ListVehiclesQueryDto, VehicleParamsDto } from './dto/vehicle-query.dto';
import { VehicleDto, VehiclePageDto } from './dto/vehicle.dto';
import { CreateVehicleDto, UpdateVehicleDto } from './dto/write-vehicle.dto';
import { VehiclesService } from './vehicles.service';

@ApiTags('vehicles')
@Controller('v1/vehicles')
export class VehiclesController {
  constructor(private readonly vehicles: VehiclesService) {}

  /** Lists vehicles, or finds them by part of a registration mark, fleet number or VIN. */
  @Get()
  @Allow(everybody)
  list(@Context() context: RequestContext, @Query() query: ListVehiclesQueryDto): Promise<VehiclePageDto> {
    return this.vehicles.list(context, query);
  }

  /** Adds a vehicle to a depot and its fleet. */
  @Post()
  @Allow(recorders)
  create(@Context() context: RequestContext, @Body() body: CreateVehicleDto): Promise<VehicleDto> {
    return this.vehicles.create(context, body);
  }

  /** Reads one vehicle. */
  @Get(':vehicleId')
  @Allow(everybody)
  get(@Context() context: RequestContext, @Param() { vehicleId }: VehicleParamsDto): Promise<VehicleDto> {
    return this.vehicles.get(context, vehicleId);
  }

  /** Changes a vehicle; its due items follow. */
  @Patch(':vehicleId')
  @Allow(recorders)
  update(
    @Context() context: RequestContext,
    @Param() { vehicleId }: VehicleParamsDto,
    @IfMatch() revision: number,
    @Body() body: UpdateVehicleDto,
  ): Promise<VehicleDto> {
    return this.vehicles.update(context, vehicleId, revision, body);
  }
}
