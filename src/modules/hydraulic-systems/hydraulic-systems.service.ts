import { Injectable } from '@nestjs/common';
import { isDeepStrictEqual } from 'node:util';
import { deriveFromLayout } from '../../core/hydraulics/derive-from-layout';
import { contradictionsIn } from '../../core/hydraulics/layout-conclusions';
import { parseInstant } from '../../core/shared/instant';
import { AuditTrail, type AuditRecord } from '../../platform/audit/audit-trail';
import { bulkRejected, type BulkResult } from '../../platform/bulk/bulk-result';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { CodedError } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import { VehiclePlacesService } from '../due-items/vehicle-places.service';
import type { LayoutHistoryQueryDto } from './dto/hydraulic-system-params.dto';
import {
  layoutOfRecord,
  toHydraulicSystemDto,
  toLayoutVersionDto,
  type HydraulicSystemDto,
  type LayoutVersionDto,
} from './dto/hydraulic-system.dto';
import { toLayoutConclusionsDto, type LayoutConclusionsDto } from './dto/layout-conclusions.dto';
import {
  evidenceOf,
  layoutOf,
  type DeriveHydraulicLayoutDto,
  type RecordHydraulicSystemDto,
} from './dto/write-hydraulic-system.dto';
import type { HydraulicLayoutRecord } from './hydraulic-layout-record.entity';
import { HydraulicLayoutsRepository, type NewLayoutVersion } from './hydraulic-layouts.repository';
import { contradictoryLayout, evidenceFaults } from './hydraulic-systems.errors';
import { planLayoutVersions, type KnownVersion, type LayoutRow } from './plan-layout-versions';

@Injectable()
export class HydraulicSystemsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly layouts: HydraulicLayoutsRepository,
    private readonly places: VehiclePlacesService,
    private readonly dueItems: DueItemsService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  get({ principal }: RequestContext, vehicleId: string): Promise<HydraulicSystemDto> {
    return this.transactions.read(principal, async (tx) => {
      await this.places.require(tx, vehicleId);
      const { record, revision } = await this.layouts.current(tx, vehicleId);
      return toHydraulicSystemDto(vehicleId, record, revision);
    });
  }

  history(
    { principal }: RequestContext,
    vehicleId: string,
    { limit = 50, cursor, at }: LayoutHistoryQueryDto,
  ): Promise<Page<LayoutVersionDto>> {
    const bound = { list: 'layout-history', organisationId: principal.organisationId, vehicleId, at };
    const after = this.cursors.after(cursor, bound);
    const moment = at === undefined ? null : new Date(parseInstant(at, 'at'));
    return this.transactions.read(principal, async (tx) => {
      await this.places.require(tx, vehicleId);
      const seen = after === null ? null : Number(after[0]);
      const versions = await this.layouts.history(tx, vehicleId, moment, seen, limit);
      return this.cursors.page(versions, limit, bound, ({ version }) => [version], toLayoutVersionDto);
    });
  }

  /** What follows from facts that somebody wants to try; contradictions are part of the answer. */
  derive({ principal }: RequestContext, body: DeriveHydraulicLayoutDto): Promise<LayoutConclusionsDto> {
    const evidence = body.evidence === undefined ? undefined : evidenceOf(body.evidence);
    const conclusions = deriveFromLayout(layoutOf(body), { evidence });
    // nothing is read, but a key that has been revoked is only found out in a transaction
    return this.transactions.read(principal, () => Promise.resolve(toLayoutConclusionsDto(conclusions)));
  }

  record(
    context: RequestContext,
    vehicleId: string,
    revision: number,
    body: RecordHydraulicSystemDto,
  ): Promise<HydraulicSystemDto> {
    const { principal } = context;
    const next: KnownVersion = { layout: layoutOf(body), evidence: evidenceOf(body.evidence ?? {}) };
    return this.transactions.write(context, async (tx) => {
      const place = await this.places.lock(tx, vehicleId);
      const current = await this.layouts.current(tx, vehicleId);
      expectRevision(current, revision);
      const contradictions = contradictionsIn(next.layout);
      if (contradictions.length > 0) throw contradictoryLayout(contradictions);
      const faults = evidenceFaults(next.layout, next.evidence, this.places.todayOn(place));
      if (faults.length > 0) {
        throw new CodedError('validation-failed', 'Some of the evidence is not acceptable.', faults);
      }
      const before = toHydraulicSystemDto(vehicleId, current.record, current.revision);
      if (isDeepStrictEqual(knownOf(before), next)) return before;

      const recordedAt = after(await this.layouts.now(tx), current.record);
      const { fleetId } = place;
      const version = { vehicleId, fleetId, ...next, recordedBy: principal.actor, recordedAt };
      await this.layouts.supersede(tx, principal.organisationId, [{ ...version, supersededAt: null }]);
      await this.dueItems.recompute(tx, principal, [vehicleId]);
      await this.audit.record(
        tx,
        principal,
        auditOf(vehicleId, current.record === null ? null : knownOf(before), next),
      );
      const stored = await this.layouts.current(tx, vehicleId);
      return toHydraulicSystemDto(vehicleId, stored.record, stored.revision);
    });
  }

  /** Records many at once, in the order of the rows. The vehicles are locked, and recomputed, by the caller. */
  async writeBatch(tx: Tx, principal: Principal, rows: LayoutRow[]): Promise<BulkResult[]> {
    const { organisationId, actor: recordedBy } = principal;
    const places = await this.places.of(
      tx,
      rows.map(({ vehicleId }) => vehicleId),
    );
    const stored = await this.layouts.versionsOf(tx, [...places.keys()]);
    const plan = planLayoutVersions(
      rows,
      (vehicleId) =>
        (stored.get(vehicleId) ?? []).map((record) => ({
          layout: layoutOfRecord(record),
          evidence: record.evidence,
        })),
      (vehicleId) => {
        const place = places.get(vehicleId);
        return place === undefined ? null : this.places.todayOn(place);
      },
    );

    const now = await this.layouts.now(tx);
    const latest = new Map<string, NewLayoutVersion>();
    const added: NewLayoutVersion[] = [];
    const records: AuditRecord[] = [];
    for (const row of plan) {
      if (row.outcome === 'rejected' || row.outcome === 'unchanged') continue;
      const { vehicleId, before, after: next } = row;
      const earlier = latest.get(vehicleId);
      const recordedAt = after(now, earlier ?? stored.get(vehicleId)?.at(-1) ?? null);
      if (earlier !== undefined) earlier.supersededAt = recordedAt;
      const fleetId = places.get(vehicleId)?.fleetId ?? '';
      const version = { vehicleId, fleetId, ...next, recordedBy, recordedAt, supersededAt: null };
      latest.set(vehicleId, version);
      added.push(version);
      records.push(auditOf(vehicleId, before, next));
    }
    await this.layouts.supersede(tx, organisationId, added);
    await this.audit.record(tx, principal, records);
    return plan.map((row) =>
      row.outcome === 'rejected'
        ? bulkRejected(...row.errors)
        : { outcome: row.outcome, subjectId: row.vehicleId, errors: [] },
    );
  }
}

/** Now, or just after the version that it follows where the clock has not moved on since. */
function after(now: Date, earlier: Pick<HydraulicLayoutRecord, 'recordedAt'> | null): Date {
  return new Date(Math.max(now.getTime(), earlier === null ? 0 : earlier.recordedAt.getTime() + 1));
}

function knownOf(dto: HydraulicSystemDto): KnownVersion {
  return { layout: layoutOf(dto), evidence: dto.evidence };
}

function auditOf(vehicleId: string, before: KnownVersion | null, next: KnownVersion): AuditRecord {
  const subject = { subjectType: 'hydraulic-system', subjectId: vehicleId, vehicleId } as const;
  return before === null
    ? { action: 'recorded', ...subject, after: next }
    : { action: 'changed', ...subject, before, after: next };
}
