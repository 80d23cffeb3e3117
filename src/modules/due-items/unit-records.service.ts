import { Injectable } from '@nestjs/common';
import type { ServiceProgramme } from '../../core/due/rule';
import { NO_TEST_LIMITS, TEST_LIMIT_KEYS, type TestLimits } from '../../core/due/test-limits';
import { toEpochDay, type CalendarDate } from '../../core/shared/calendar-date';
import { totalOn } from '../../core/usage/meter-track';
import type { Tx } from '../../platform/database/transactions';
import { usageRecordOf } from './due-input-of';
import { knownProgramme, programmeOf } from './due-computation';
import { limit20BarGaugeOf } from './fitted-unit-of';
import { VehicleRecordsRepository } from './vehicle-records.repository';

/** A unit as far as the rules of a programme look at it. */
export interface JudgedUnit {
  fleetId: string;
  /** where it is fitted; null on the bench */
  vehicleId: string | null;
  position: string | null;
  typeCode: string;
  nominal20BarGauge: number;
}

export interface PrechargeLimitInForce {
  limit20BarGauge: number;
  ruleCode: string;
}

/** What the records and the programme of a vehicle say to whoever records a unit's move or a test. */
@Injectable()
export class UnitRecordsService {
  constructor(private readonly records: VehicleRecordsRepository) {}

  /** Total distance of a vehicle on a local day, by its accepted readings; null where these say nothing. */
  async totalKmOn(tx: Tx, vehicleId: string, on: CalendarDate): Promise<number | null> {
    const [vehicle] = await this.records.load(tx, [vehicleId]);
    if (vehicle === undefined) return null;
    return totalOn(usageRecordOf(vehicle, 'odometer').track, toEpochDay(on)).total;
  }

  /**
   * The precharge below which a unit has to be recharged, by the programme of its vehicle, or of its fleet while it
   * is on the bench. Of several limits the highest. Null where no rule sets one.
   */
  async prechargeLimitOf(tx: Tx, unit: JudgedUnit): Promise<PrechargeLimitInForce | null> {
    const programme = await this.programmeOf(tx, unit.vehicleId, unit.fleetId);
    if (programme === null) return null;
    let highest: PrechargeLimitInForce | null = null;
    for (const { code, prechargeLimit, positions, appliesTo } of programme.rules) {
      if (prechargeLimit === null) continue;
      if (appliesTo.unitTypes !== null && !appliesTo.unitTypes.includes(unit.typeCode)) continue;
      // on the bench nobody knows where it will sit, so every rule counts
      if (positions !== null && unit.position !== null && !positions.includes(unit.position)) continue;
      const limit20BarGauge = limit20BarGaugeOf(prechargeLimit, unit.nominal20BarGauge);
      if (highest === null || limit20BarGauge > highest.limit20BarGauge)
        highest = { limit20BarGauge, ruleCode: code };
    }
    return highest;
  }

  /**
   * What a test of a vehicle is judged by: of each limit what a rule for its task sets, else what any other rule of
   * the programme sets, since a figure such as the cut-in is the same in every test.
   */
  async testLimitsOf(tx: Tx, vehicleId: string, task: string): Promise<TestLimits> {
    const programme = await this.programmeOf(tx, vehicleId, null);
    const limits = { ...NO_TEST_LIMITS };
    const rules = (programme?.rules ?? []).toSorted(
      (a, b) => Number(b.task === task) - Number(a.task === task),
    );
    for (const { testLimits } of rules) {
      for (const key of TEST_LIMIT_KEYS) limits[key] ??= testLimits?.[key] ?? null;
    }
    return limits;
  }

  private async programmeOf(
    tx: Tx,
    vehicleId: string | null,
    fleetId: string | null,
  ): Promise<ServiceProgramme | null> {
    const versionId = await this.records.programmeVersionId(tx, vehicleId, fleetId);
    if (versionId === null) return null;
    const known = knownProgramme(versionId);
    if (known !== undefined) return known;
    const [version] = await this.records.programmeVersions(tx, [versionId]);
    return version === undefined ? null : programmeOf(version);
  }
}
