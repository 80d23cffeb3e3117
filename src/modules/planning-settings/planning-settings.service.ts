import { Injectable } from '@nestjs/common';
import { AuditTrail } from '../../platform/audit/audit-trail';
import { refuseKeyOfSomeFleets } from '../../platform/database/fleet-scope';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { expectRevision } from '../../platform/http/entity-tag';
import type { RequestContext } from '../../platform/http/request-context';
import { toPlanningSettingsDto, type PlanningSettingsDto } from './dto/planning-settings.dto';
import type { ReplacePlanningSettingsDto } from './dto/write-planning-settings.dto';
import { refuseFaultySettings } from './planning-settings.errors';
import { PlanningSettingsRepository } from './planning-settings.repository';

@Injectable()
export class PlanningSettingsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly settings: PlanningSettingsRepository,
    private readonly audit: AuditTrail,
  ) {}

  get({ principal }: RequestContext): Promise<PlanningSettingsDto> {
    return this.transactions.read(principal, (tx) => this.of(tx));
  }

  replace(
    context: RequestContext,
    revision: number,
    body: ReplacePlanningSettingsDto,
  ): Promise<PlanningSettingsDto> {
    const { principal } = context;
    refuseFaultySettings(body);
    return this.transactions.write(context, async (tx) => {
      await refuseKeyOfSomeFleets(tx, 'the planning settings are shared by all');
      const before = toPlanningSettingsDto(await this.settings.lock(tx));
      expectRevision(before, revision);
      const { riskPerLateDayMinor } = body;
      const after = toPlanningSettingsDto(
        await this.settings.save(tx, {
          organisationId: principal.organisationId,
          currency: body.currency,
          visitLossMinor: body.visitLossMinor,
          valuePerItemMinor: body.valuePerItemMinor,
          valueByTask: body.valueByTask.map(({ task, valueMinor }) => ({ task, valueMinor })),
          riskPerLateDaySafetyCriticalMinor: riskPerLateDayMinor.safetyCritical,
          riskPerLateDayOtherMinor: riskPerLateDayMinor.other,
          leftOutMinor: body.leftOutMinor,
          horizonDays: body.horizonDays,
          revision: revision + 1,
        }),
      );
      await this.audit.record(tx, principal, {
        action: 'changed',
        subjectType: 'planning-settings',
        subjectId: principal.organisationId,
        before,
        after,
      });
      return after;
    });
  }

  /** What the caller's organisation has set, or the defaults. */
  async of(tx: Tx): Promise<PlanningSettingsDto> {
    return toPlanningSettingsDto(await this.settings.find(tx));
  }
}
