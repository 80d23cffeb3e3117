import { Body, Controller, Get, Param, Patch, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { deciders, everybody } from '../../platform/security/role';
import { BayDto, BayPageDto, CreateBayDto, UpdateBayDto } from './dto/bay.dto';
import {
  CreateTechnicianDto,
  TechnicianDto,
  TechnicianPageDto,
  UpdateTechnicianDto,
} from './dto/technician.dto';
import {
  BayParamsDto,
  ListOfWorkshopQueryDto,
  TechnicianParamsDto,
  WorkshopParamsDto,
} from './dto/workshop-params.dto';
import { WorkshopResourcesService } from './workshop-resources.service';

@ApiTags('workshops')
@Controller('v1')
export class WorkshopResourcesController {
  constructor(private readonly resources: WorkshopResourcesService) {}

  /** Lists the bays of a workshop. */
  @Get('workshops/:workshopId/bays')
  @Allow(everybody)
  listBays(
    @Context() context: RequestContext,
    @Param() { workshopId }: WorkshopParamsDto,
    @Query() query: ListOfWorkshopQueryDto,
  ): Promise<BayPageDto> {
    return this.resources.listBays(context, workshopId, query);
  }

  /** Adds a bay. */
  @Post('workshops/:workshopId/bays')
  @Allow(deciders)
  createBay(
    @Context() context: RequestContext,
    @Param() { workshopId }: WorkshopParamsDto,
    @Body() body: CreateBayDto,
  ): Promise<BayDto> {
    return this.resources.createBay(context, workshopId, body);
  }

  /** Reads one bay. */
  @Get('bays/:bayId')
  @Allow(everybody)
  getBay(@Context() context: RequestContext, @Param() { bayId }: BayParamsDto): Promise<BayDto> {
    return this.resources.getBay(context, bayId);
  }

  /** Changes a bay. Bookings that stand stay where they are. */
  @Patch('bays/:bayId')
  @Allow(deciders)
  updateBay(
    @Context() context: RequestContext,
    @Param() { bayId }: BayParamsDto,
    @IfMatch() revision: number,
    @Body() body: UpdateBayDto,
  ): Promise<BayDto> {
    return this.resources.updateBay(context, bayId, revision, body);
  }

  /** Lists the people of a workshop. */
  @Get('workshops/:workshopId/technicians')
  @Allow(everybody)
  listTechnicians(
    @Context() context: RequestContext,
    @Param() { workshopId }: WorkshopParamsDto,
    @Query() query: ListOfWorkshopQueryDto,
  ): Promise<TechnicianPageDto> {
    return this.resources.listTechnicians(context, workshopId, query);
  }

  /** Adds somebody who works there. */
  @Post('workshops/:workshopId/technicians')
  @Allow(deciders)
  createTechnician(
    @Context() context: RequestContext,
    @Param() { workshopId }: WorkshopParamsDto,
    @Body() body: CreateTechnicianDto,
  ): Promise<TechnicianDto> {
    return this.resources.createTechnician(context, workshopId, body);
  }

  /** Reads one technician. */
  @Get('technicians/:technicianId')
  @Allow(everybody)
  getTechnician(
    @Context() context: RequestContext,
    @Param() { technicianId }: TechnicianParamsDto,
  ): Promise<TechnicianDto> {
    return this.resources.getTechnician(context, technicianId);
  }

  /** Changes a technician: competences, shifts, absences. Bookings that stand stay where they are. */
  @Patch('technicians/:technicianId')
  @Allow(deciders)
  updateTechnician(
    @Context() context: RequestContext,
    @Param() { technicianId }: TechnicianParamsDto,
    @IfMatch() revision: number,
    @Body() body: UpdateTechnicianDto,
  ): Promise<TechnicianDto> {
    return this.resources.updateTechnician(context, technicianId, revision, body);
  }
}
