import { Body, Controller, Delete, Get, HttpCode, Param, Post, Put, Query } from '@nestjs/common';
import { ApiExtension, ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { PageQueryDto } from '../../platform/http/page-query.dto';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, planners } from '../../platform/security/role';
import { ProgrammePreviewDto } from './dto/programme-preview.dto';
import {
  ProgrammeVersionDto,
  ProgrammeVersionPageDto,
  PublishedVersionDto,
} from './dto/programme-version.dto';
import {
  PreviewQueryDto,
  ProgrammeVersionParamsDto,
  ServiceProgrammeParamsDto,
} from './dto/service-programme-params.dto';
import {
  CreateProgrammeVersionDto,
  PublishProgrammeVersionDto,
  PutProgrammeVersionDto,
} from './dto/write-service-programme.dto';
import { ProgrammePreviewService } from './programme-preview.service';
import { ProgrammeVersionsService } from './programme-versions.service';

@ApiTags('service programmes')
@Controller('v1/service-programmes/:programmeId/versions')
export class ProgrammeVersionsController {
  constructor(
    private readonly versions: ProgrammeVersionsService,
    private readonly previews: ProgrammePreviewService,
  ) {}

  /** Lists the versions of a programme without their rules, the latest first. */
  @Get()
  @Allow(everybody)
  list(
    @Context() context: RequestContext,
    @Param() { programmeId }: ServiceProgrammeParamsDto,
    @Query() query: PageQueryDto,
  ): Promise<ProgrammeVersionPageDto> {
    return this.versions.list(context, programmeId, query);
  }

  /** Makes a new draft, from another version or from rules of its own. */
  @Post()
  @Allow(planners)
  create(
    @Context() context: RequestContext,
    @Param() { programmeId }: ServiceProgrammeParamsDto,
    @Body() body: CreateProgrammeVersionDto,
  ): Promise<ProgrammeVersionDto> {
    return this.versions.create(context, programmeId, body);
  }

  /** Reads one version with its rules. */
  @Get(':versionId')
  @Allow(everybody)
  get(
    @Context() context: RequestContext,
    @Param() { programmeId, versionId }: ProgrammeVersionParamsDto,
  ): Promise<ProgrammeVersionDto> {
    return this.versions.get(context, programmeId, versionId);
  }

  /** Replaces the rules of a draft. A published version is never changed. */
  @Put(':versionId')
  @Allow(planners)
  replace(
    @Context() context: RequestContext,
    @Param() { programmeId, versionId }: ProgrammeVersionParamsDto,
    @IfMatch() revision: number,
    @Body() body: PutProgrammeVersionDto,
  ): Promise<ProgrammeVersionDto> {
    return this.versions.replace(context, programmeId, versionId, revision, body);
  }

  /** Deletes a draft. A published version is never deleted. */
  @Delete(':versionId')
  @HttpCode(204)
  @Allow(planners)
  delete(
    @Context() context: RequestContext,
    @Param() { programmeId, versionId }: ProgrammeVersionParamsDto,
    @IfMatch() revision: number,
  ): Promise<void> {
    return this.versions.delete(context, programmeId, versionId, revision);
  }

  /** Tells what publishing the version today would move. Nothing is stored. */
  @Post(':versionId/preview')
  @HttpCode(200)
  @Allow(planners, 'read')
  @ApiExtension('x-ignores-idempotency-key', true)
  preview(
    @Context() context: RequestContext,
    @Param() { programmeId, versionId }: ProgrammeVersionParamsDto,
    @Query() { limit = 100 }: PreviewQueryDto,
  ): Promise<ProgrammePreviewDto> {
    return this.previews.preview(context, programmeId, versionId, limit);
  }

  /**
   * Publishes a draft: on its effective day it comes into force, and the due items of every vehicle that
   * follows the programme move. Takes a key that sees all fleets.
   */
  @Post(':versionId/publish')
  @HttpCode(200)
  @Allow(planners)
  publish(
    @Context() context: RequestContext,
    @Param() { programmeId, versionId }: ProgrammeVersionParamsDto,
    @IfMatch() revision: number,
    @Body() { effectiveOn }: PublishProgrammeVersionDto,
  ): Promise<PublishedVersionDto> {
    return this.versions.publish(context, programmeId, versionId, revision, effectiveOn);
  }
}
