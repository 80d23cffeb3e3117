import { Body, Controller, Get, HttpCode, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, workshopAndRecorders } from '../../platform/security/role';
import {
  ListSystemTestsQueryDto,
  SystemTestParamsDto,
  TestedVehicleParamsDto,
} from './dto/system-test-query.dto';
import { RecordedSystemTestDto, SystemTestDto, SystemTestPageDto } from './dto/system-test.dto';
import { CreateSystemTestDto, VoidSystemTestDto } from './dto/write-system-test.dto';
import { SystemTestsService } from './system-tests.service';

@ApiTags('system tests')
@Controller('v1')
export class SystemTestsController {
  constructor(private readonly tests: SystemTestsService) {}

  /** Lists the tests of a vehicle's hydraulic system, the latest first. */
  @Get('vehicles/:vehicleId/system-tests')
  @Allow(everybody)
  list(
    @Context() context: RequestContext,
    @Param() { vehicleId }: TestedVehicleParamsDto,
    @Query() query: ListSystemTestsQueryDto,
  ): Promise<SystemTestPageDto> {
    return this.tests.list(context, vehicleId, query);
  }

  /** Records a test and judges it by the limits of the service programme; tells what it settles or brings about. */
  @Post('vehicles/:vehicleId/system-tests')
  @Allow(workshopAndRecorders)
  create(
    @Context() context: RequestContext,
    @Param() { vehicleId }: TestedVehicleParamsDto,
    @Body() body: CreateSystemTestDto,
  ): Promise<RecordedSystemTestDto> {
    return this.tests.create(context, vehicleId, body);
  }

  /** Reads one test. */
  @Get('system-tests/:systemTestId')
  @Allow(everybody)
  get(
    @Context() context: RequestContext,
    @Param() { systemTestId }: SystemTestParamsDto,
  ): Promise<SystemTestDto> {
    return this.tests.get(context, systemTestId);
  }

  /** Takes back a test that was recorded by mistake: it stays on file and counts no more. */
  @Post('system-tests/:systemTestId/void')
  @HttpCode(200)
  @Allow(workshopAndRecorders)
  void(
    @Context() context: RequestContext,
    @Param() { systemTestId }: SystemTestParamsDto,
    @IfMatch() revision: number,
    @Body() { reason }: VoidSystemTestDto,
  ): Promise<SystemTestDto> {
    return this.tests.void(context, systemTestId, revision, reason);
  }
}
