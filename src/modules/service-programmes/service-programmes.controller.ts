import { Body, Controller, Get, Param, Patch, Post, Put, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { PageQueryDto } from '../../platform/http/page-query.dto';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, planners } from '../../platform/security/role';
import { DefaultProgrammeService } from './default-programme.service';
import { ServiceProgrammeParamsDto } from './dto/service-programme-params.dto';
import {
  DefaultServiceProgrammeDto,
  ServiceProgrammeDto,
  ServiceProgrammePageDto,
} from './dto/service-programme.dto';
import {
  CreateServiceProgrammeDto,
  PutDefaultServiceProgrammeDto,
  UpdateServiceProgrammeDto,
} from './dto/write-service-programme.dto';
import { ServiceProgrammesService } from './service-programmes.service';

@ApiTags('service programmes')
@Controller('v1/service-programmes')
export class ServiceProgrammesController {
  constructor(
    private readonly programmes: ServiceProgrammesService,
    private readonly defaultProgramme: DefaultProgrammeService,
  ) {}

  /** Lists service programmes. */
  @Get()
  @Allow(everybody)
  list(@Context() context: RequestContext, @Query() query: PageQueryDto): Promise<ServiceProgrammePageDto> {
    return this.programmes.list(context, query);
  }

  /** Adds a service programme with a first version, a draft: of one's own rules, or of the starter rules. */
  @Post()
  @Allow(planners)
  create(
    @Context() context: RequestContext,
    @Body() body: CreateServiceProgrammeDto,
  ): Promise<ServiceProgrammeDto> {
    return this.programmes.create(context, body);
  }

  /** Reads which programme vehicles follow that have none of their own and whose fleet has none. */
  @Get('default')
  @Allow(everybody)
  getDefault(@Context() context: RequestContext): Promise<DefaultServiceProgrammeDto> {
    return this.defaultProgramme.get(context);
  }

  /** Chooses it; the due items of these vehicles follow. Takes a key that sees all fleets. */
  @Put('default')
  @Allow(planners)
  setDefault(
    @Context() context: RequestContext,
    @IfMatch() revision: number,
    @Body() { serviceProgrammeId }: PutDefaultServiceProgrammeDto,
  ): Promise<DefaultServiceProgrammeDto> {
    return this.defaultProgramme.set(context, revision, serviceProgrammeId);
  }

  /** Reads one service programme, with the version in force and the latest one. */
  @Get(':programmeId')
  @Allow(everybody)
  get(
    @Context() context: RequestContext,
    @Param() { programmeId }: ServiceProgrammeParamsDto,
  ): Promise<ServiceProgrammeDto> {
    return this.programmes.get(context, programmeId);
  }

  /** Changes the name of a service programme, or the note on where its figures come from. */
  @Patch(':programmeId')
  @Allow(planners)
  update(
    @Context() context: RequestContext,
    @Param() { programmeId }: ServiceProgrammeParamsDto,
    @IfMatch() revision: number,
    @Body() body: UpdateServiceProgrammeDto,
  ): Promise<ServiceProgrammeDto> {
    return this.programmes.update(context, programmeId, revision, body);
  }
}
