import { Body, Controller, Get, HttpCode, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, workshopAndRecorders } from '../../platform/security/role';
import {
  CompletionVehicleParamsDto,
  ListTaskCompletionsQueryDto,
  TaskCompletionParamsDto,
} from './dto/task-completion-query.dto';
import {
  RecordedTaskCompletionDto,
  TaskCompletionDto,
  TaskCompletionPageDto,
} from './dto/task-completion.dto';
import { CreateTaskCompletionDto, VoidTaskCompletionDto } from './dto/write-task-completion.dto';
import { TaskCompletionsService } from './task-completions.service';

@ApiTags('task completions')
@Controller('v1')
export class TaskCompletionsController {
  constructor(private readonly completions: TaskCompletionsService) {}

  /** Lists the work that was done on a vehicle, the latest first. */
  @Get('vehicles/:vehicleId/task-completions')
  @Allow(everybody)
  list(
    @Context() context: RequestContext,
    @Param() { vehicleId }: CompletionVehicleParamsDto,
    @Query() query: ListTaskCompletionsQueryDto,
  ): Promise<TaskCompletionPageDto> {
    return this.completions.list(context, vehicleId, query);
  }

  /** Records work that was done; tells which due items it settled. */
  @Post('vehicles/:vehicleId/task-completions')
  @Allow(workshopAndRecorders)
  create(
    @Context() context: RequestContext,
    @Param() { vehicleId }: CompletionVehicleParamsDto,
    @Body() body: CreateTaskCompletionDto,
  ): Promise<RecordedTaskCompletionDto> {
    return this.completions.create(context, vehicleId, body);
  }

  /** Reads one completed task. */
  @Get('task-completions/:completionId')
  @Allow(everybody)
  get(
    @Context() context: RequestContext,
    @Param() { completionId }: TaskCompletionParamsDto,
  ): Promise<TaskCompletionDto> {
    return this.completions.get(context, completionId);
  }

  /** Takes back a completion that was recorded by mistake: it stays on file and counts no more. */
  @Post('task-completions/:completionId/void')
  @HttpCode(200)
  @Allow(workshopAndRecorders)
  void(
    @Context() context: RequestContext,
    @Param() { completionId }: TaskCompletionParamsDto,
    @IfMatch() revision: number,
    @Body() { reason }: VoidTaskCompletionDto,
  ): Promise<TaskCompletionDto> {
    return this.completions.void(context, completionId, revision, reason);
  }
}
