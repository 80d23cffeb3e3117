import { Injectable } from '@nestjs/common';
import { addDays, daysBetween } from '../../core/shared/calendar-date';
import { AuditTrail } from '../../platform/audit/audit-trail';
import { Clock } from '../../platform/clock/clock';
import { Transactions } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { PageQueryDto } from '../../platform/http/page-query.dto';
import type { RequestContext } from '../../platform/http/request-context';
import { HoldStatusService } from '../due-items/hold-status.service';
import { VehiclePlacesService } from '../due-items/vehicle-places.service';
import {
  decisionOf,
  toHoldOverrideDto,
  type HoldOverrideDto,
  type RecordedOverrideDto,
} from './dto/hold-override.dto';
import { releaseCautions } from './dto/vehicle-hold.dto';
import type { OverrideHoldDto } from './dto/write-hold.dto';
import { HoldOverridesRepository } from './hold-overrides.repository';
import {
  alreadyRevoked,
  endsBeforeItStarts,
  lastsTooLong,
  LONGEST_OVERRIDE_DAYS,
  notAReason,
  startsInThePast,
} from './holds.errors';

@Injectable()
export class HoldOverridesService {
  constructor(
    private readonly transactions: Transactions,
    private readonly overrides: HoldOverridesRepository,
    private readonly status: HoldStatusService,
    private readonly places: VehiclePlacesService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
    private readonly clock: Clock,
  ) {}

  list(
    { principal }: RequestContext,
    vehicleId: string,
    { limit = 50, cursor }: PageQueryDto,
  ): Promise<Page<HoldOverrideDto>> {
    const bound = { list: 'hold-overrides', organisationId: principal.organisationId, vehicleId };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      await this.places.require(tx, vehicleId);
      const rows = await this.overrides.list(tx, vehicleId, after === null ? null : String(after[0]), limit);
      return this.cursors.page(rows, limit, bound, ({ id }) => [id], toHoldOverrideDto);
    });
  }

  create(context: RequestContext, vehicleId: string, body: OverrideHoldDto): Promise<RecordedOverrideDto> {
    const { principal } = context;
    const { reasonKeys, namedPerson, statement, fromOn, untilOn } = body;
    return this.transactions.write(context, async (tx) => {
      const { fleetId } = await this.places.lock(tx, vehicleId);
      const [hold] = await this.status.statusOf(tx, [vehicleId]);
      if (hold === undefined) throw notFound('vehicle', vehicleId);
      const { records, status } = hold;
      checkPeriod(fromOn, untilOn, records.todayOn);
      const unknown = reasonKeys.filter((key) => !status.reasons.some((reason) => reason.key === key));
      if (unknown.length > 0) throw notAReason(unknown, status.reasons);
      const override = await this.overrides.create(tx, {
        organisationId: principal.organisationId,
        vehicleId,
        fleetId,
        reasonKeys,
        namedPerson,
        statement,
        fromOn,
        untilOn,
        recordedBy: principal.actor,
        recordedAt: new Date(this.clock.now()),
      });
      const after = toHoldOverrideDto(override);
      await this.audit.record(tx, principal, {
        action: 'overridden',
        subjectType: 'hold-override',
        subjectId: override.id,
        vehicleId,
        // what held the vehicle when the person decided
        before: { reasons: status.reasons },
        after,
      });
      return { ...after, decision: decisionOf(override), cautions: releaseCautions(records.layout) };
    });
  }

  revoke(context: RequestContext, overrideId: string, revision: number): Promise<HoldOverrideDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const override = await this.overrides.lock(tx, overrideId);
      if (override === null) throw notFound('override', overrideId);
      expectRevision(override, revision);
      if (override.revokedAt !== null) throw alreadyRevoked(override.revokedBy);
      const before = toHoldOverrideDto(override);
      override.revokedAt = new Date(this.clock.now());
      override.revokedBy = principal.actor;
      override.revision += 1;
      const answer = toHoldOverrideDto(await this.overrides.save(tx, override));
      await this.audit.record(tx, principal, {
        action: 'revoked',
        subjectType: 'hold-override',
        subjectId: override.id,
        vehicleId: override.vehicleId,
        before,
        after: answer,
      });
      return answer;
    });
  }
}

function checkPeriod(fromOn: string, untilOn: string, todayOn: string): void {
  if (fromOn < todayOn) throw startsInThePast(fromOn, todayOn);
  if (untilOn < fromOn) throw endsBeforeItStarts(fromOn, untilOn);
  const days = daysBetween(fromOn, untilOn) + 1;
  if (days > LONGEST_OVERRIDE_DAYS) throw lastsTooLong(days, addDays(fromOn, LONGEST_OVERRIDE_DAYS - 1));
}
