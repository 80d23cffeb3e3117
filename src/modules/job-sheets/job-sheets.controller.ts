import { Body, Controller, Get, Header, HttpCode, Param, Patch, Post, Query } from '@nestjs/common';
import { ApiOkResponse, ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, workshopPeople } from '../../platform/security/role';
import {
  JobSheetBookingParamsDto,
  JobSheetParamsDto,
  ListJobSheetsQueryDto,
} from './dto/job-sheet-params.dto';
import { CompletedJobDto, JobSheetDto, JobSheetPageDto } from './dto/job-sheet.dto';
import { CompleteJobSheetDto, UpdateJobSheetDto } from './dto/write-job-sheet.dto';
import { JobCompletionService } from './job-completion.service';
import { JobSheetsService } from './job-sheets.service';

@ApiTags('job-sheets')
@Controller('v1')
export class JobSheetsController {
  constructor(
    private readonly sheets: JobSheetsService,
    private readonly completion: JobCompletionService,
  ) {}

  /** Lists job sheets. */
  @Get('job-sheets')
  @Allow(everybody)
  list(@Context() context: RequestContext, @Query() query: ListJobSheetsQueryDto): Promise<JobSheetPageDto> {
    return this.sheets.list(context, query);
  }

  /** Makes the job sheet of a booking from what is due, recorded and in force now. */
  @Post('bookings/:bookingId/job-sheet')
  @Allow(workshopPeople)
  create(
    @Context() context: RequestContext,
    @Param() { bookingId }: JobSheetBookingParamsDto,
  ): Promise<JobSheetDto> {
    return this.sheets.create(context, bookingId);
  }

  /** Reads one job sheet. */
  @Get('job-sheets/:jobSheetId')
  @Allow(everybody)
  get(@Context() context: RequestContext, @Param() { jobSheetId }: JobSheetParamsDto): Promise<JobSheetDto> {
    return this.sheets.get(context, jobSheetId);
  }

  /** The job sheet as a page to print and to write on. */
  @Get('job-sheets/:jobSheetId/print')
  @Allow(everybody)
  @Header('Content-Type', 'text/html; charset=utf-8')
  @ApiOkResponse({ content: { 'text/html': { schema: { type: 'string' } } } })
  print(@Context() context: RequestContext, @Param() { jobSheetId }: JobSheetParamsDto): Promise<string> {
    return this.sheets.print(context, jobSheetId);
  }

  /** Makes an open sheet anew from what is recorded now; entries of steps that are still on it stay. */
  @Post('job-sheets/:jobSheetId/renewal')
  @HttpCode(200)
  @Allow(workshopPeople)
  renew(
    @Context() context: RequestContext,
    @Param() { jobSheetId }: JobSheetParamsDto,
    @IfMatch() revision: number,
  ): Promise<JobSheetDto> {
    return this.sheets.renew(context, jobSheetId, revision);
  }

  /** Saves what was entered so far. Nothing is recorded on the vehicle before the job is completed. */
  @Patch('job-sheets/:jobSheetId')
  @Allow(workshopPeople)
  update(
    @Context() context: RequestContext,
    @Param() { jobSheetId }: JobSheetParamsDto,
    @IfMatch() revision: number,
    @Body() body: UpdateJobSheetDto,
  ): Promise<JobSheetDto> {
    return this.sheets.update(context, jobSheetId, revision, body);
  }

  /**
   * Completes the job in one step: results, tests, units, odometer, due items, hold and booking. The vehicle is released
   * or held; a safety-critical failure always holds it. The same request again is answered as before.
   */
  @Post('job-sheets/:jobSheetId/completion')
  @HttpCode(200)
  @Allow(workshopPeople)
  complete(
    @Context() context: RequestContext,
    @Param() { jobSheetId }: JobSheetParamsDto,
    @IfMatch() revision: number,
    @Body() body: CompleteJobSheetDto,
  ): Promise<CompletedJobDto> {
    return this.completion.complete(context, jobSheetId, revision, body);
  }
}
