import { Body, Controller, HttpCode, Post } from '@nestjs/common';
import { ApiExtension, ApiTags } from '@nestjs/swagger';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody } from '../../platform/security/role';
import { CalculationsService } from './calculations.service';
import {
  DeliveredVolumeInputDto,
  NormalisedPrechargeInputDto,
  RideEffectInputDto,
  StopwatchTestInputDto,
  StoredApplicationsInputDto,
} from './dto/calculation-input.dto';
import {
  DeliveredVolumeDto,
  NormalisedPrechargeDto,
  RideEffectDto,
  StopwatchTestDto,
  StoredApplicationsDto,
} from './dto/calculation.dto';

@ApiTags('calculations')
@Controller('v1/calculations')
export class CalculationsController {
  constructor(private readonly calculations: CalculationsService) {}

  /** Turns a precharge read at some temperature into that at 20 °C. Nothing is stored. */
  @Post('normalised-precharge')
  @HttpCode(200)
  @Allow(everybody, 'read')
  @ApiExtension('x-ignores-idempotency-key', true)
  normalisedPrecharge(
    @Context() context: RequestContext,
    @Body() body: NormalisedPrechargeInputDto,
  ): Promise<NormalisedPrechargeDto> {
    return this.calculations.normalisedPrecharge(context, body);
  }

  /** Tells what volume a gas unit gives between two pressures, slowly and at once. Nothing is stored. */
  @Post('delivered-volume')
  @HttpCode(200)
  @Allow(everybody, 'read')
  @ApiExtension('x-ignores-idempotency-key', true)
  deliveredVolume(
    @Context() context: RequestContext,
    @Body() body: DeliveredVolumeInputDto,
  ): Promise<DeliveredVolumeDto> {
    return this.calculations.deliveredVolume(context, body);
  }

  /** Tells a loss of gas and a leak apart by the times of the pressure regulator. Nothing is stored. */
  @Post('stopwatch-test')
  @HttpCode(200)
  @Allow(everybody, 'read')
  @ApiExtension('x-ignores-idempotency-key', true)
  stopwatchTest(
    @Context() context: RequestContext,
    @Body() body: StopwatchTestInputDto,
  ): Promise<StopwatchTestDto> {
    return this.calculations.stopwatchTest(context, body);
  }

  /** Estimates how many full brake applications are stored with the pump stopped. Nothing is stored. */
  @Post('stored-applications')
  @HttpCode(200)
  @Allow(everybody, 'read')
  @ApiExtension('x-ignores-idempotency-key', true)
  storedApplications(
    @Context() context: RequestContext,
    @Body() body: StoredApplicationsInputDto,
  ): Promise<StoredApplicationsDto> {
    return this.calculations.storedApplications(context, body);
  }

  /** Tells how a unit's precharge changes the ride. Nothing is stored. */
  @Post('ride-effect')
  @HttpCode(200)
  @Allow(everybody, 'read')
  @ApiExtension('x-ignores-idempotency-key', true)
  rideEffect(@Context() context: RequestContext, @Body() body: RideEffectInputDto): Promise<RideEffectDto> {
    return this.calculations.rideEffect(context, body);
  }
}
