import { Injectable } from '@nestjs/common';
import { Transactions } from '../../platform/database/transactions';
import type { RequestContext } from '../../platform/http/request-context';
import {
  calculatedDeliveredVolume,
  calculatedRideEffect,
  calculatedStopwatchTest,
  calculatedStoredApplications,
  normalisedPrecharge,
  withBodyPaths,
} from './calculated';
import type {
  DeliveredVolumeInputDto,
  NormalisedPrechargeInputDto,
  RideEffectInputDto,
  StopwatchTestInputDto,
  StoredApplicationsInputDto,
} from './dto/calculation-input.dto';
import type {
  DeliveredVolumeDto,
  NormalisedPrechargeDto,
  RideEffectDto,
  StopwatchTestDto,
  StoredApplicationsDto,
} from './dto/calculation.dto';

/** The calculators of the workshop; nothing is stored. */
@Injectable()
export class CalculationsService {
  constructor(private readonly transactions: Transactions) {}

  normalisedPrecharge(
    context: RequestContext,
    body: NormalisedPrechargeInputDto,
  ): Promise<NormalisedPrechargeDto> {
    return this.answer(context, () => normalisedPrecharge(body));
  }

  deliveredVolume(context: RequestContext, body: DeliveredVolumeInputDto): Promise<DeliveredVolumeDto> {
    return this.answer(context, () => calculatedDeliveredVolume(body));
  }

  stopwatchTest(context: RequestContext, body: StopwatchTestInputDto): Promise<StopwatchTestDto> {
    return this.answer(context, () => calculatedStopwatchTest(body));
  }

  storedApplications(
    context: RequestContext,
    body: StoredApplicationsInputDto,
  ): Promise<StoredApplicationsDto> {
    return this.answer(context, () => calculatedStoredApplications(body));
  }

  rideEffect(context: RequestContext, body: RideEffectInputDto): Promise<RideEffectDto> {
    return this.answer(context, () => calculatedRideEffect(body));
  }

  private answer<T>({ principal }: RequestContext, calculate: () => T): Promise<T> {
    // nothing is read, but a key that has been revoked is only found out in a transaction
    return this.transactions.read(principal, () => Promise.resolve(withBodyPaths(calculate)));
  }
}
