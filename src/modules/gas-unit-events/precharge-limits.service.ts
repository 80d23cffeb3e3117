import { Injectable } from '@nestjs/common';
import type { Tx } from '../../platform/database/transactions';
import { UnitRecordsService } from '../due-items/unit-records.service';
import type { LimitInForce } from './limit-in-force';
import type { MeasuredUnit, UnitPlace } from './measured-unit';

/** Common practice, no published source: a unit below 80 % of nominal is recharged. */
const USUAL_LOWEST_SHARE = 0.8;

/** Limits by unit and place that were looked up already, for a batch. */
export type KnownLimits = Map<string, LimitInForce>;

@Injectable()
export class PrechargeLimitsService {
  constructor(private readonly unitRecords: UnitRecordsService) {}

  /**
   * The limit of the rule that is in force where the unit is; else the lowest share of nominal that the vehicle's
   * programme tests for; else the usual share.
   */
  async of(
    tx: Tx,
    unit: MeasuredUnit,
    place: UnitPlace,
    known: KnownLimits = new Map(),
  ): Promise<LimitInForce> {
    const key = [unit.fleetId, unit.typeId, place.vehicleId, place.position].join(' ');
    const found = known.get(key) ?? (await this.lookUp(tx, unit, place));
    known.set(key, found);
    return found;
  }

  private async lookUp(tx: Tx, unit: MeasuredUnit, place: UnitPlace): Promise<LimitInForce> {
    const { fleetId, typeCode, nominal20BarGauge } = unit;
    const byRule = await this.unitRecords.prechargeLimitOf(tx, {
      fleetId,
      ...place,
      typeCode,
      nominal20BarGauge,
    });
    if (byRule !== null) {
      const { limit20BarGauge, ruleCode } = byRule;
      const source = `rule ${ruleCode} of the service programme`;
      return { nominal20BarGauge, limit20BarGauge, ruleCode, origin: 'rule', source };
    }
    const tested =
      place.vehicleId === null
        ? null
        : (await this.unitRecords.testLimitsOf(tx, place.vehicleId, 'precharge-test')).lowestPrechargeShare;
    const share = tested ?? USUAL_LOWEST_SHARE;
    const ofNominal = `${Number((100 * share).toFixed(1))} % of nominal`;
    return {
      nominal20BarGauge,
      limit20BarGauge: share * nominal20BarGauge,
      ruleCode: null,
      ...(tested === null
        ? {
            origin: 'common-practice' as const,
            source: `${ofNominal} by common practice, the programme sets none`,
          }
        : { origin: 'programme-share' as const, source: `${ofNominal} by the service programme` }),
    };
  }
}
