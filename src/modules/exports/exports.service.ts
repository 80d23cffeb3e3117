import { Injectable } from '@nestjs/common';
import { Transactions } from '../../platform/database/transactions';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import type { ExportKind, ExportLines } from './dto/export-lines.dto';
import type { ListExportQueryDto } from './dto/export-query.dto';
import { ExportsRepository } from './exports.repository';

/** Gives records out in the form in which imports take them in. */
@Injectable()
export class ExportsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly exports: ExportsRepository,
    private readonly cursors: Cursors,
  ) {}

  list<Kind extends ExportKind>(
    { principal }: RequestContext,
    kind: Kind,
    { limit = 50, cursor, fleetId }: ListExportQueryDto,
  ): Promise<Page<ExportLines[Kind]>> {
    const bound = { list: `exports ${kind}`, organisationId: principal.organisationId, fleetId };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const afterId = after === null ? null : String(after[0]);
      const rows = await this.exports.list(tx, kind, fleetId, afterId, limit);
      return this.cursors.page(
        rows,
        limit,
        bound,
        ({ id }) => [id],
        ({ line }) => line,
      );
    });
  }
}
