import { Injectable } from '@nestjs/common';
import { holdOn, type StandingFinding } from '../../core/due/hold';
import { UNVERIFIED_LAYOUT } from '../../core/hydraulics/hydraulic-layout';
import { missingUnitFindings } from '../../core/hydraulics/missing-unit-findings';
import { safetyFindings } from '../../core/hydraulics/safety-findings';
import { addDays } from '../../core/shared/calendar-date';
import { Clock } from '../../platform/clock/clock';
import type { Tx } from '../../platform/database/transactions';
import { HoldRecordsRepository } from './hold-records.repository';
import { STANDING_LAYOUTS } from './standing-layouts';
import type { HoldFilter, HoldRecords, VehicleHold } from './vehicle-hold';

const BATCH = 500;

/** Tells which vehicles are not to be released to the road today, and why. */
@Injectable()
export class HoldStatusService {
  constructor(
    private readonly records: HoldRecordsRepository,
    private readonly clock: Clock,
  ) {}

  /** Ordered by vehicle id; vehicles that do not exist, or are somebody else's, are missing. */
  async statusOf(tx: Tx, vehicleIds: readonly string[]): Promise<VehicleHold[]> {
    const records = await this.records.load(tx, vehicleIds, this.nowAt());
    return records.map((one) => ({ records: one, status: statusOf(one) }));
  }

  /** Vehicles on hold after the given one, by id; `limit` of them at most. */
  async page(tx: Tx, filter: HoldFilter, afterId: string | null, limit: number): Promise<VehicleHold[]> {
    const held: VehicleHold[] = [];
    for (let after = afterId; ;) {
      const found = await this.records.candidates(tx, filter, STANDING_LAYOUTS, this.nowAt(), after, limit);
      const ids = found.map(({ vehicleId }) => vehicleId);
      held.push(...(await this.statusOf(tx, ids)).filter(({ status }) => status.onHold));
      if (held.length >= limit || ids.length < limit) return held.slice(0, limit);
      after = ids.at(-1) ?? null;
    }
  }

  /** Ids of all vehicles on hold. */
  async vehiclesOnHold(tx: Tx, filter: HoldFilter): Promise<string[]> {
    const found = await this.records.candidates(tx, filter, STANDING_LAYOUTS, this.nowAt(), null, null);
    const held = found.filter(({ uncertain }) => !uncertain).map(({ vehicleId }) => vehicleId);
    const uncertain = found.filter((one) => one.uncertain).map(({ vehicleId }) => vehicleId);
    for (let start = 0; start < uncertain.length; start += BATCH) {
      const vehicles = await this.statusOf(tx, uncertain.slice(start, start + BATCH));
      held.push(...vehicles.filter(({ status }) => status.onHold).map(({ records }) => records.vehicleId));
    }
    return held;
  }

  private nowAt(): string {
    return new Date(this.clock.now()).toISOString();
  }
}

function standingFindings({ layout, holdingItems, emptiedPositions }: HoldRecords): StandingFinding[] {
  const recorded = layout ?? UNVERIFIED_LAYOUT;
  const rearAccumulatorFailed = holdingItems?.some(
    ({ position, failedTest }) => position === 'rear-brake-accumulator' && failedTest !== null,
  );
  const ofLayout = safetyFindings(recorded, rearAccumulatorFailed === true ? 'failed' : 'none')
    .filter(({ status }) => status === 'stands')
    .map((finding) => ({ ...finding, since: null }));
  const ofUnits = missingUnitFindings(recorded, emptiedPositions ?? []);
  // the same finding from two records is one reason; the one with a date says more
  return [...new Map([...ofLayout, ...ofUnits].map((finding) => [finding.code, finding])).values()];
}

function statusOf(records: HoldRecords): VehicleHold['status'] {
  return holdOn(
    {
      items: records.holdingItems ?? [],
      findings: standingFindings(records),
      manualHolds: (records.manualHolds ?? []).map((hold) => ({ ...hold, liftedOn: null })),
      overrides: (records.overrides ?? []).map((override) => ({
        id: override.id,
        byName: override.namedPerson,
        why: override.statement,
        during: { fromOn: override.fromOn, untilOn: addDays(override.untilOn, 1) },
        reasonKeys: override.reasonKeys,
      })),
    },
    records.todayOn,
  );
}
