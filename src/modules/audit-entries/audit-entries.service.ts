import { Injectable } from '@nestjs/common';
import { refuseKeyOfSomeWorkshops } from '../../platform/database/fleet-scope';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { AuditEntriesRepository } from './audit-entries.repository';
import type { ListAuditEntriesQueryDto } from './dto/audit-entry-params.dto';
import { toAuditEntryDto, type AuditEntryDto } from './dto/audit-entry.dto';

/**
 * An administrator of the whole organisation reads everything, everybody else who may read at all only what is about
 * vehicles that they see.
 */
@Injectable()
export class AuditEntriesService {
  constructor(
    private readonly transactions: Transactions,
    private readonly entries: AuditEntriesRepository,
    private readonly cursors: Cursors,
  ) {}

  list(
    { principal }: RequestContext,
    { limit = 50, cursor, ...query }: ListAuditEntriesQueryDto,
  ): Promise<Page<AuditEntryDto>> {
    const filter = { list: 'audit-entries', organisationId: principal.organisationId, ...query };
    const after = this.cursors.after(cursor, filter);
    return this.transactions.read(principal, async (tx) => {
      const rows = await this.entries.list(
        tx,
        await this.seesVehiclesOnly(tx, principal),
        query,
        after === null ? null : { recordedAt: String(after[0]), id: String(after[1]) },
        limit,
      );
      return this.cursors.page(rows, limit, filter, (row) => [row.recordedAt, row.id], toAuditEntryDto);
    });
  }

  get({ principal }: RequestContext, auditEntryId: string): Promise<AuditEntryDto> {
    return this.transactions.read(principal, async (tx) => {
      const entry = await this.entries.find(tx, await this.seesVehiclesOnly(tx, principal), auditEntryId);
      if (entry === null) throw notFound('audit entry', auditEntryId);
      return toAuditEntryDto(entry);
    });
  }

  private async seesVehiclesOnly(tx: Tx, { role }: Principal): Promise<boolean> {
    await refuseKeyOfSomeWorkshops(tx, 'entries tell of all of them');
    return role !== 'administrator' || (await this.entries.isOfSomeFleets(tx));
  }
}
