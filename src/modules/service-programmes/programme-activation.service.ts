import { Injectable } from '@nestjs/common';
import { addDays, localDateAt, type CalendarDate } from '../../core/shared/calendar-date';
import { AuditTrail } from '../../platform/audit/audit-trail';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import type { ServiceProgramme } from './service-programme.entity';
import { ServiceProgrammesRepository } from './service-programmes.repository';

/** As many vehicles as may follow a change of rules in the transaction that makes it. */
export const MOST_VEHICLES_AT_ONCE = 500;

export interface ActivatedProgramme {
  programmeId: string;
  versionId: string;
  /** whose due items were computed again */
  vehicles: number;
}

/** Puts published versions into force. */
@Injectable()
export class ProgrammeActivationService {
  constructor(
    private readonly transactions: Transactions,
    private readonly programmes: ServiceProgrammesRepository,
    private readonly dueItems: DueItemsService,
    private readonly audit: AuditTrail,
    private readonly clock: Clock,
  ) {}

  /**
   * The day on which versions come into force now: the latest local date among the organisation's depots, so
   * that an effective day has begun everywhere as soon as it has begun anywhere. Without depots, by UTC.
   */
  async todayOn(tx: Tx): Promise<CalendarDate> {
    const zones = await this.programmes.depotZones(tx);
    const now = this.clock.now();
    return (
      zones
        .map((zone) => localDateAt(now, zone))
        .sort()
        .at(-1) ?? localDateAt(now, 'UTC')
    );
  }

  /**
   * Puts a version into force in the transaction that publishes it and moves the due items of all vehicles
   * that follow, if they are few enough. Otherwise nothing is done, and false.
   */
  async activateAtOnce(
    tx: Tx,
    principal: Principal,
    programme: ServiceProgramme,
    versionId: string,
  ): Promise<boolean> {
    const followers = await this.dueItems.vehicleIds(
      tx,
      { programmeId: programme.id },
      null,
      MOST_VEHICLES_AT_ONCE + 1,
    );
    if (followers.length > MOST_VEHICLES_AT_ONCE) return false;
    await this.putIntoForce(tx, principal, programme, versionId);
    await this.dueItems.recompute(tx, principal, followers);
    return true;
  }

  /**
   * Puts a published version into force and moves the due items of all vehicles that follow, in batches. May
   * be repeated: the second time it finds nothing different. Answers the number of vehicles; 0, and nothing
   * done, when another version has come into force instead.
   */
  async activate(
    principal: Principal,
    programmeId: string,
    versionId: string,
    todayOn?: CalendarDate,
  ): Promise<number> {
    const stands = await this.transactions.read(principal, async (tx) => {
      const programme = await this.programmes.lock(tx, programmeId);
      if (programme === null) throw notFound('service programme', programmeId);
      const [winner] = await this.programmes.inForceOn(tx, todayOn ?? (await this.todayOn(tx)), [
        programmeId,
      ]);
      if (winner?.versionId !== versionId) return false;
      if (programme.currentVersionId !== versionId) {
        await this.putIntoForce(tx, principal, programme, versionId);
      }
      return true;
    });
    return stands ? this.dueItems.recomputeInBatches(principal, { programmeId }) : 0;
  }

  /**
   * Puts everything into force whose day has come; for the worker, daily and whenever a version is published
   * that many vehicles follow. What came into force yesterday or today is computed once more, so that a run
   * that broke off is made up for by the next one.
   */
  async activateDue(principal: Principal, todayOn?: CalendarDate): Promise<ActivatedProgramme[]> {
    const { due, today } = await this.transactions.read(principal, async (tx) => {
      const day = todayOn ?? (await this.todayOn(tx));
      return { due: await this.programmes.inForceOn(tx, day, null), today: day };
    });
    const activated: ActivatedProgramme[] = [];
    for (const { programmeId, versionId, currentVersionId, effectiveOn } of due) {
      if (currentVersionId === versionId && effectiveOn < addDays(today, -1)) continue;
      const vehicles = await this.activate(principal, programmeId, versionId, today);
      activated.push({ programmeId, versionId, vehicles });
    }
    return activated;
  }

  private async putIntoForce(
    tx: Tx,
    principal: Principal,
    programme: ServiceProgramme,
    versionId: string,
  ): Promise<void> {
    const before = { currentVersionId: programme.currentVersionId };
    programme.currentVersionId = versionId;
    programme.revision += 1;
    await this.programmes.save(tx, programme);
    await this.audit.record(tx, principal, {
      action: 'put-into-force',
      subjectType: 'service-programme',
      subjectId: programme.id,
      before,
      after: { currentVersionId: versionId },
    });
  }
}
