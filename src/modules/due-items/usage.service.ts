import { Injectable } from '@nestjs/common';
import type { UsageRecord } from '../../core/usage/usage-estimate';
import { defaultUsageModel } from '../../core/usage/usage-model';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { CodedError, parameterError } from '../../platform/errors/coded-error';
import type { RequestContext } from '../../platform/http/request-context';
import type { UsageQueryDto } from './dto/usage-query.dto';
import { toUsageDto, type UsageDto } from './dto/usage.dto';
import { dutyStretchesOf } from './duty-stretches';
import { meterUnitOf, presentDutyClass, replacementsOf } from './due-input-of';
import { usageOfVehicle } from './usage-of-vehicle';
import { VehiclePlacesService } from './vehicle-places.service';
import type { Meter } from './vehicle-records';
import { VehicleRecordsRepository } from './vehicle-records.repository';

const BATCH = 500;

/** How vehicles are used: one at a time for people, a fleet at a time for the fitting of a model. */
@Injectable()
export class UsageService {
  constructor(
    private readonly transactions: Transactions,
    private readonly records: VehicleRecordsRepository,
    private readonly places: VehiclePlacesService,
  ) {}

  ofVehicle({ principal }: RequestContext, vehicleId: string, query: UsageQueryDto): Promise<UsageDto> {
    const { meter = 'odometer' } = query;
    return this.transactions.read(principal, async (tx) => {
      const place = await this.places.require(tx, vehicleId);
      const [records] = await this.records.load(tx, [vehicleId]);
      if (records === undefined || records.retiredOn !== null) {
        throw new CodedError(
          'not-found',
          `The vehicle ${vehicleId} has left the fleet: it is not used here.`,
        );
      }
      const todayOn = this.places.todayOn(place);
      const on = query.on ?? todayOn;
      const dutyClass = presentDutyClass(records);
      const stored = await this.records.usageModel(tx, place.fleetId, meter, dutyClass);
      const usage = usageOfVehicle(records, meter, stored?.model ?? defaultUsageModel(meterUnitOf(meter)), {
        todayOn,
        on,
        shownUnit:
          replacementsOf(records, meter).at(-1)?.newUnit ?? (meter === 'odometer' ? place.odometerUnit : 'h'),
      });
      if (usage.forecast !== null && usage.onDay.how === 'unknown' && on > todayOn) {
        throw parameterError(
          'on',
          `${on} is further ahead than a forecast reaches.`,
          `give a day within ${usage.forecast.horizonDays} days of the last reading`,
        );
      }
      return toUsageDto(usage, { vehicleId, meter, zone: place.zone, todayOn, stored });
    });
  }

  /**
   * What the vehicles in service of a fleet recorded of both meters, in stretches of one duty each, by
   * vehicle id: the food of a usage model.
   */
  async stretchesOfFleet(
    tx: Tx,
    fleetId: string,
  ): Promise<{ meter: Meter; dutyClass: string; record: UsageRecord }[]> {
    const stretches: { meter: Meter; dutyClass: string; record: UsageRecord }[] = [];
    for (let afterId: string | null = null; ;) {
      const ids: string[] = await this.records.vehicleIds(tx, { fleetId }, afterId, BATCH);
      const loaded = await this.records.load(tx, ids);
      loaded.sort((a, b) => (a.vehicleId < b.vehicleId ? -1 : 1));
      for (const records of loaded) {
        for (const meter of ['odometer', 'engine-hours'] as const) {
          stretches.push(...dutyStretchesOf(records, meter).map((each) => ({ meter, ...each })));
        }
      }
      if (ids.length < BATCH) return stretches;
      afterId = ids.at(-1) ?? null;
    }
  }
}
