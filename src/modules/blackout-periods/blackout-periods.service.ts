import { isDeepStrictEqual } from 'node:util';
import { Injectable } from '@nestjs/common';
import { addMonths, type CalendarDate } from '../../core/shared/calendar-date';
import { dayInterval } from '../../core/shared/day-interval';
import { AuditTrail, type AuditRecord } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import { bulkRejected, type BulkResult } from '../../platform/bulk/bulk-result';
import { keyOfAnotherVehicle } from '../../platform/bulk/planned-row';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { PageQueryDto } from '../../platform/http/page-query.dto';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { VehiclePlacesService } from '../due-items/vehicle-places.service';
import type { BlackoutPeriod } from './blackout-period.entity';
import { blackoutAlready, blackoutKeyTaken, blackoutTooLong } from './blackout-periods.errors';
import { BlackoutPeriodsRepository } from './blackout-periods.repository';
import { BlackoutPeriodLine } from './dto/blackout-period-line.dto';
import { toBlackoutPeriodDto, type BlackoutPeriodDto } from './dto/blackout-period.dto';
import type { CreateBlackoutPeriodDto } from './dto/write-blackout-period.dto';

const LONGEST_MONTHS = 24;

/** A blackout period as a file states it; its fields are valid by themselves. */
export type BlackoutPeriodRow = CreateBlackoutPeriodDto & { vehicleId: string };

type CheckedPeriod = Pick<BlackoutPeriod, 'fromOn' | 'untilOn' | 'reason' | 'externalKey'>;

@Injectable()
export class BlackoutPeriodsService {
  /** how a line of an imported file is checked */
  readonly lineClass = BlackoutPeriodLine;

  constructor(
    private readonly transactions: Transactions,
    private readonly blackoutPeriods: BlackoutPeriodsRepository,
    private readonly places: VehiclePlacesService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  list(
    { principal }: RequestContext,
    vehicleId: string,
    { limit = 50, cursor }: PageQueryDto,
  ): Promise<Page<BlackoutPeriodDto>> {
    const bound = { list: 'blackout-periods', organisationId: principal.organisationId, vehicleId };
    const after = this.cursors.after(cursor, bound);
    const seen = after === null ? null : { fromOn: String(after[0]), untilOn: String(after[1]) };
    return this.transactions.read(principal, async (tx) => {
      await this.places.require(tx, vehicleId);
      const rows = await this.blackoutPeriods.list(tx, vehicleId, seen, limit);
      const keyOf = ({ fromOn, untilOn }: BlackoutPeriod): string[] => [fromOn, untilOn];
      return this.cursors.page(rows, limit, bound, keyOf, toBlackoutPeriodDto);
    });
  }

  get(
    { principal }: RequestContext,
    vehicleId: string,
    blackoutPeriodId: string,
  ): Promise<BlackoutPeriodDto> {
    return this.transactions.read(principal, async (tx) => {
      await this.places.require(tx, vehicleId);
      return toBlackoutPeriodDto(await this.require(tx, vehicleId, blackoutPeriodId));
    });
  }

  create(
    context: RequestContext,
    vehicleId: string,
    body: CreateBlackoutPeriodDto,
  ): Promise<BlackoutPeriodDto> {
    const row = { ...checked(body), vehicleId };
    return this.transactions.write(context, async (tx) => {
      const { fleetId } = await this.places.lock(tx, vehicleId);
      const sameKey = await this.withKey(tx, row.externalKey);
      if (sameKey !== null) throw blackoutKeyTaken(row.externalKey, sameKey.id);
      const same = await this.blackoutPeriods.findSame(tx, vehicleId, row.fromOn, row.untilOn);
      if (same !== null) throw blackoutAlready(row.fromOn, row.untilOn, same.id);
      return this.add(tx, context.principal, { ...row, fleetId });
    });
  }

  /**
   * Records many at once, in the order of the rows, each of them by its key or else by its days. The vehicles are
   * locked by the caller.
   */
  async writeBatch(tx: Tx, principal: Principal, rows: readonly BlackoutPeriodRow[]): Promise<BulkResult[]> {
    const places = await this.places.of(
      tx,
      rows.map(({ vehicleId }) => vehicleId),
    );
    const results: BulkResult[] = [];
    for (const { vehicleId, ...body } of rows) {
      const row = { ...checked(body), vehicleId };
      const { fromOn, untilOn, externalKey } = row;
      const sameKey = await this.withKey(tx, externalKey);
      const stored = sameKey ?? (await this.blackoutPeriods.findSame(tx, vehicleId, fromOn, untilOn));
      if (stored === null) {
        const fleetId = places.get(vehicleId)?.fleetId ?? '';
        const { id } = await this.add(tx, principal, { ...row, fleetId });
        results.push({ outcome: 'created', subjectId: id, errors: [] });
      } else if (stored.vehicleId !== vehicleId) {
        results.push(bulkRejected(keyOfAnotherVehicle(externalKey ?? '')));
      } else if (stored !== sameKey && externalKey !== null && stored.externalKey !== null) {
        throw blackoutAlready(fromOn, untilOn, stored.id);
      } else {
        const outcome = await this.change(tx, principal, stored, row);
        results.push({ outcome, subjectId: stored.id, errors: [] });
      }
    }
    return results;
  }

  delete(
    context: RequestContext,
    vehicleId: string,
    blackoutPeriodId: string,
    revision: number,
  ): Promise<void> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      await this.places.lock(tx, vehicleId);
      const period = await this.require(tx, vehicleId, blackoutPeriodId);
      expectRevision(period, revision);
      const before = toBlackoutPeriodDto(period);
      await this.blackoutPeriods.delete(tx, period);
      await this.audit.record(tx, principal, { ...subject('deleted', before), before });
    });
  }

  /**
   * Blackout periods that share a day with those from `fromOn` until `untilOn`, which is not one of them, by the
   * vehicles' ids and earliest first; vehicles without any are missing. One statement, however many there are.
   */
  async ofVehicles(
    tx: Tx,
    vehicleIds: readonly string[],
    fromOn: CalendarDate,
    untilOn: CalendarDate,
  ): Promise<Map<string, BlackoutPeriod[]>> {
    const byVehicle = new Map<string, BlackoutPeriod[]>();
    for (const period of await this.blackoutPeriods.findShared(tx, vehicleIds, fromOn, untilOn)) {
      const others = byVehicle.get(period.vehicleId);
      if (others === undefined) byVehicle.set(period.vehicleId, [period]);
      else others.push(period);
    }
    return byVehicle;
  }

  private withKey(tx: Tx, externalKey: string | null): Promise<BlackoutPeriod | null> {
    return externalKey === null
      ? Promise.resolve(null)
      : this.blackoutPeriods.findByExternalKey(tx, externalKey);
  }

  private async add(
    tx: Tx,
    principal: Principal,
    row: CheckedPeriod & { vehicleId: string; fleetId: string },
  ): Promise<BlackoutPeriodDto> {
    const { organisationId } = principal;
    const answer = toBlackoutPeriodDto(
      await onConstraint(() => this.blackoutPeriods.create(tx, { ...row, organisationId }), {
        blackout_periods_days_key: () => blackoutAlready(row.fromOn, row.untilOn),
        blackout_periods_external_key_key: () => blackoutKeyTaken(row.externalKey),
      }),
    );
    await this.audit.record(tx, principal, { ...subject('created', answer), after: answer });
    return answer;
  }

  private async change(
    tx: Tx,
    principal: Principal,
    period: BlackoutPeriod,
    { fromOn, untilOn, reason, externalKey }: CheckedPeriod,
  ): Promise<'updated' | 'unchanged'> {
    const before = toBlackoutPeriodDto(period);
    Object.assign(period, { fromOn, untilOn, reason, externalKey: externalKey ?? period.externalKey });
    if (isDeepStrictEqual(toBlackoutPeriodDto(period), before)) return 'unchanged';
    period.revision += 1;
    await onConstraint(() => this.blackoutPeriods.save(tx, period), {
      blackout_periods_days_key: () => blackoutAlready(fromOn, untilOn),
      blackout_periods_external_key_key: () => blackoutKeyTaken(externalKey),
    });
    const after = toBlackoutPeriodDto(period);
    await this.audit.record(tx, principal, { ...subject('changed', after), before, after });
    return 'updated';
  }

  private async require(tx: Tx, vehicleId: string, blackoutPeriodId: string): Promise<BlackoutPeriod> {
    const period = await this.blackoutPeriods.find(tx, vehicleId, blackoutPeriodId);
    if (period === null) throw notFound('blackout period', blackoutPeriodId);
    return period;
  }
}

function subject(action: ActionOn<'blackout-period'>, { id, vehicleId }: BlackoutPeriodDto): AuditRecord {
  return { action, subjectType: 'blackout-period', subjectId: id, vehicleId };
}

function checked(body: CreateBlackoutPeriodDto): CheckedPeriod {
  const { fromOn, untilOn } = dayInterval(body.fromOn, body.untilOn);
  const latestUntilOn = addMonths(fromOn, LONGEST_MONTHS);
  if (untilOn > latestUntilOn) throw blackoutTooLong(fromOn, latestUntilOn);
  return { fromOn, untilOn, reason: body.reason, externalKey: body.externalKey ?? null };
}
