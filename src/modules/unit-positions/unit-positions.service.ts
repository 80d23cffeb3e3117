import { Injectable } from '@nestjs/common';
import { roleOfPosition, UNIT_POSITIONS, type UnitRole } from '../../core/hydraulics/unit-positions';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import { refuseKeyOfSomeFleets } from '../../platform/database/fleet-scope';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { applyMergePatch } from '../../platform/http/merge-patch';
import { Cursors, type Page } from '../../platform/http/page';
import type { PageQueryDto } from '../../platform/http/page-query.dto';
import type { RequestContext } from '../../platform/http/request-context';
import { STANDARD_POSITIONS, toUnitPositionDto, type UnitPositionDto } from './dto/unit-position.dto';
import type { CreateUnitPositionDto, UpdateUnitPositionDto } from './dto/write-unit-position.dto';
import type { OwnUnitPosition } from './unit-position.entity';
import { positionCodeTaken, positionInUse, roleInUse, standardPosition } from './unit-positions.errors';
import { UnitPositionsRepository } from './unit-positions.repository';

const CONCERN = 'a position belongs to all fleets of the organisation';

@Injectable()
export class UnitPositionsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly positions: UnitPositionsRepository,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  /** The standard ones first, then one's own by code. */
  list({ principal }: RequestContext, { limit = 50, cursor }: PageQueryDto): Promise<Page<UnitPositionDto>> {
    const bound = { list: 'unit-positions', organisationId: principal.organisationId };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const all = [...STANDARD_POSITIONS, ...(await this.positions.all(tx)).map(toUnitPositionDto)];
      // the last one seen may have been deleted since
      const isSeen = ({ code, standard }: UnitPositionDto): boolean => {
        if (after === null) return false;
        const last = String(after[0]);
        const lastIsStandard = roleOfPosition(last) !== null;
        if (standard !== lastIsStandard) return standard;
        return standard ? rankOf(code) <= rankOf(last) : code <= last;
      };
      const rows = all.filter((position) => !isSeen(position));
      return this.cursors.page(
        rows,
        limit,
        bound,
        ({ code }) => [code],
        (row) => row,
      );
    });
  }

  get({ principal }: RequestContext, unitPositionId: string): Promise<UnitPositionDto> {
    return this.transactions.read(principal, async (tx) => {
      const position = await this.positions.find(tx, unitPositionId);
      if (position === null) throw notFound('unit position', unitPositionId);
      return toUnitPositionDto(position);
    });
  }

  create(context: RequestContext, { code, name, role }: CreateUnitPositionDto): Promise<UnitPositionDto> {
    const { principal } = context;
    if (roleOfPosition(code) !== null) throw standardPosition(code);
    return this.transactions.write(context, async (tx) => {
      await refuseKeyOfSomeFleets(tx, CONCERN);
      const { organisationId } = principal;
      const position = await onConstraint(
        () => this.positions.create(tx, { organisationId, code, name, role }),
        { unit_positions_code_key: () => positionCodeTaken(code) },
      );
      const after = toUnitPositionDto(position);
      await this.audit.record(tx, principal, { ...subject('created', position), after });
      return after;
    });
  }

  update(
    context: RequestContext,
    unitPositionId: string,
    revision: number,
    body: UpdateUnitPositionDto,
  ): Promise<UnitPositionDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      await refuseKeyOfSomeFleets(tx, CONCERN);
      const position = await this.lock(tx, unitPositionId);
      expectRevision(position, revision);
      const before = toUnitPositionDto(position);
      const changed = applyMergePatch<OwnUnitPosition>(position, body);
      if (changed.length === 0) return before;
      if (changed.includes('role') && (await this.positions.everUsed(tx, position.code)))
        throw roleInUse(position.code);
      position.revision += 1;
      const after = toUnitPositionDto(await this.positions.save(tx, position));
      await this.audit.record(tx, principal, { ...subject('changed', position), before, after });
      return after;
    });
  }

  delete(context: RequestContext, unitPositionId: string, revision: number): Promise<void> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      // such a key does not see whether a unit of another fleet sat there
      await refuseKeyOfSomeFleets(tx, CONCERN);
      const position = await this.lock(tx, unitPositionId);
      expectRevision(position, revision);
      if (await this.positions.everUsed(tx, position.code)) throw positionInUse(position.code);
      const before = toUnitPositionDto(position);
      await this.positions.delete(tx, position);
      await this.audit.record(tx, principal, { ...subject('deleted', position), before });
    });
  }

  /** Role by code of every position that there is: the standard ones and the organisation's own. */
  async roles(tx: Tx): Promise<ReadonlyMap<string, UnitRole>> {
    const own = await this.positions.all(tx);
    return new Map([...STANDARD_POSITIONS, ...own].map(({ code, role }): [string, UnitRole] => [code, role]));
  }

  /** The same for whoever is about to put units at some of them: none of these is deleted meanwhile. */
  async takeRoles(tx: Tx, codes: readonly string[]): Promise<ReadonlyMap<string, UnitRole>> {
    const own = codes.filter((code) => roleOfPosition(code) === null);
    if (own.length > 0) await this.positions.share(tx, own);
    return this.roles(tx);
  }

  private async lock(tx: Tx, unitPositionId: string): Promise<OwnUnitPosition> {
    const position = await this.positions.lock(tx, unitPositionId);
    if (position === null) throw notFound('unit position', unitPositionId);
    return position;
  }
}

const rankOf = (code: string): number => (UNIT_POSITIONS as readonly string[]).indexOf(code);

function subject(action: ActionOn<'unit-position'>, { id }: OwnUnitPosition) {
  return { action, subjectType: 'unit-position', subjectId: id } as const;
}
