import { Body, Controller, Get, Param, Patch, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { deciders, everybody } from '../../platform/security/role';
import { HolidayRegionsDto, WorkshopOpeningDto } from './dto/workshop-opening.dto';
import { ListWorkshopsQueryDto, WorkshopOpeningQueryDto, WorkshopParamsDto } from './dto/workshop-params.dto';
import { WorkshopDto, WorkshopPageDto } from './dto/workshop.dto';
import { CreateWorkshopDto, UpdateWorkshopDto } from './dto/write-workshop.dto';
import { WorkshopsService } from './workshops.service';

@ApiTags('workshops')
@Controller('v1')
export class WorkshopsController {
  constructor(private readonly workshops: WorkshopsService) {}

  /** Lists workshops. */
  @Get('workshops')
  @Allow(everybody)
  list(@Context() context: RequestContext, @Query() query: ListWorkshopsQueryDto): Promise<WorkshopPageDto> {
    return this.workshops.list(context, query);
  }

  /** Adds a workshop with its opening hours. */
  @Post('workshops')
  @Allow(deciders)
  create(@Context() context: RequestContext, @Body() body: CreateWorkshopDto): Promise<WorkshopDto> {
    return this.workshops.create(context, body);
  }

  /** Reads one workshop. */
  @Get('workshops/:workshopId')
  @Allow(everybody)
  get(@Context() context: RequestContext, @Param() { workshopId }: WorkshopParamsDto): Promise<WorkshopDto> {
    return this.workshops.get(context, workshopId);
  }

  /** Changes a workshop. Bookings that stand stay where they are, also where the new hours would not allow them. */
  @Patch('workshops/:workshopId')
  @Allow(deciders)
  update(
    @Context() context: RequestContext,
    @Param() { workshopId }: WorkshopParamsDto,
    @IfMatch() revision: number,
    @Body() body: UpdateWorkshopDto,
  ): Promise<WorkshopDto> {
    return this.workshops.update(context, workshopId, revision, body);
  }

  /** Tells when a workshop is open, day by day, with what decides over each day. */
  @Get('workshops/:workshopId/opening')
  @Allow(everybody)
  opening(
    @Context() context: RequestContext,
    @Param() { workshopId }: WorkshopParamsDto,
    @Query() query: WorkshopOpeningQueryDto,
  ): Promise<WorkshopOpeningDto> {
    return this.workshops.opening(context, workshopId, query);
  }

  /** Lists the regions whose public holidays are known. */
  @Get('holiday-regions')
  @Allow(everybody)
  holidayRegions(): Promise<HolidayRegionsDto> {
    return this.workshops.holidayRegions();
  }
}
