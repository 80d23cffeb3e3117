import { isDeepStrictEqual } from 'node:util';
import { Injectable } from '@nestjs/common';
import { localDateAt, type CalendarDate } from '../../core/shared/calendar-date';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { BulkResult } from '../../platform/bulk/bulk-result';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { expectRevision } from '../../platform/http/entity-tag';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import type { Depot } from '../depots/depot.entity';
import { DepotsService } from '../depots/depots.service';
import { RosterLine } from './dto/roster-line.dto';
import { weekdayNumbersOf } from './dto/roster-days.dto';
import { toRosterDto, type RosterDto } from './dto/roster.dto';
import type { ReplaceRosterDto } from './dto/write-roster.dto';
import { neededByDay } from './needed-by-day';
import type { RosterNeed } from './roster-need.entity';
import { refuseFaultyExceptions } from './roster-needs.errors';
import { RosterNeedsRepository } from './roster-needs.repository';
import { rosterWarnings } from './roster-warnings';

/** What a depot needs on the road over a range of days. */
export interface DepotNeed {
  /** nothing was ever set: nothing is needed */
  isDefault: boolean;
  /** vehicles by day, the first day of the range first */
  neededByDay: number[];
}

/** What a file states of one depot; its fields are valid by themselves. */
export type RosterRow = ReplaceRosterDto & { depotId: string };

const NOTHING_NEEDED = { neededByWeekday: [0, 0, 0, 0, 0, 0, 0], exceptions: [] };

@Injectable()
export class RosterNeedsService {
  /** how a line of an imported file is checked */
  readonly lineClass = RosterLine;

  constructor(
    private readonly transactions: Transactions,
    private readonly rosters: RosterNeedsRepository,
    private readonly depots: DepotsService,
    private readonly audit: AuditTrail,
    private readonly clock: Clock,
  ) {}

  get({ principal }: RequestContext, depotId: string): Promise<RosterDto> {
    return this.transactions.read(principal, async (tx) => {
      const depot = await this.depots.require(tx, depotId);
      return this.shown(tx, depot, await this.rosters.find(tx, depotId));
    });
  }

  replace(
    context: RequestContext,
    depotId: string,
    revision: number,
    body: ReplaceRosterDto,
  ): Promise<RosterDto> {
    refuseFaultyExceptions(body.exceptions ?? []);
    return this.transactions.write(context, async (tx) => {
      const depot = await this.depots.lock(tx, depotId);
      const stored = await this.rosters.find(tx, depotId);
      expectRevision({ revision: stored?.revision ?? 0 }, revision);
      return this.put(tx, context.principal, depot, stored, body);
    });
  }

  /** Sets many at once, in the order of the rows, and answers what became of them. */
  async writeBatch(tx: Tx, principal: Principal, rows: readonly RosterRow[]): Promise<BulkResult[]> {
    const results: BulkResult[] = [];
    for (const { depotId, ...body } of rows) {
      refuseFaultyExceptions(body.exceptions ?? []);
      const depot = await this.depots.lock(tx, depotId);
      const stored = await this.rosters.find(tx, depotId);
      const isKnown = stored !== null && isDeepStrictEqual(needOf(stored), needOf(statedNeed(body)));
      if (!isKnown) await this.put(tx, principal, depot, stored, body);
      const outcome = isKnown ? 'unchanged' : stored === null ? 'created' : 'updated';
      results.push({ outcome, subjectId: depotId, errors: [] });
    }
    return results;
  }

  /**
   * What each depot needs on the days from `fromOn` until `untilOn`, which is not one of them, by the depots' ids.
   * One statement, however many there are.
   */
  async neededOn(
    tx: Tx,
    depotIds: readonly string[],
    fromOn: CalendarDate,
    untilOn: CalendarDate,
  ): Promise<Map<string, DepotNeed>> {
    const rosters = await this.rosters.findOfDepots(tx, depotIds);
    const byDepot = new Map(rosters.map((roster) => [roster.depotId, roster]));
    return new Map(
      depotIds.map((depotId) => {
        const roster = byDepot.get(depotId);
        const needed = neededByDay(roster ?? NOTHING_NEEDED, fromOn, untilOn);
        return [depotId, { isDefault: roster === undefined, neededByDay: needed }];
      }),
    );
  }

  private async put(
    tx: Tx,
    principal: Principal,
    depot: Depot,
    stored: RosterNeed | null,
    body: ReplaceRosterDto,
  ): Promise<RosterDto> {
    const before = await this.shown(tx, depot, stored);
    const roster = await this.rosters.save(tx, {
      organisationId: principal.organisationId,
      depotId: depot.id,
      fleetId: depot.fleetId,
      ...statedNeed(body),
      revision: (stored?.revision ?? 0) + 1,
    });
    const after = await this.shown(tx, depot, roster);
    await this.audit.record(tx, principal, {
      action: 'changed',
      subjectType: 'roster',
      subjectId: depot.id,
      fleetId: depot.fleetId,
      before,
      after,
    });
    return after;
  }

  private async shown(tx: Tx, { id, zone }: Depot, roster: RosterNeed | null): Promise<RosterDto> {
    const todayOn = localDateAt(this.clock.now(), zone);
    const vehicleCount = await this.rosters.vehicleCount(tx, id, todayOn);
    return toRosterDto(id, {
      ...(roster ?? NOTHING_NEEDED),
      isDefault: roster === null,
      vehicleCount,
      warnings: rosterWarnings(roster, vehicleCount, todayOn),
      revision: roster?.revision ?? 0,
    });
  }
}

type Need = Pick<RosterNeed, 'neededByWeekday' | 'exceptions'>;

function statedNeed({ neededByWeekday, exceptions = [] }: ReplaceRosterDto): Need {
  return {
    neededByWeekday: weekdayNumbersOf(neededByWeekday),
    exceptions: exceptions
      .map(({ fromOn, untilOn, needed, reason }) => ({ fromOn, untilOn, needed, reason }))
      .sort((a, b) => (a.fromOn < b.fromOn ? -1 : 1)),
  };
}

const needOf = ({ neededByWeekday, exceptions }: Need): Need => ({ neededByWeekday, exceptions });
