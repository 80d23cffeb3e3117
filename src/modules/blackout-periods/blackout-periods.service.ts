import { Injectable } from '@nestjs/common';
import { addMonths, type CalendarDate } from '../../core/shared/calendar-date';
import { dayInterval } from '../../core/shared/day-interval';
import { AuditTrail, type AuditRecord } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { PageQueryDto } from '../../platform/http/page-query.dto';
import type { RequestContext } from '../../platform/http/request-context';
import { VehiclePlacesService } from '../due-items/vehicle-places.service';
import type { BlackoutPeriod } from './blackout-period.entity';
import { blackoutAlready, blackoutTooLong } from './blackout-periods.errors';
import { BlackoutPeriodsRepository } from './blackout-periods.repository';
import { toBlackoutPeriodDto, type BlackoutPeriodDto } from './dto/blackout-period.dto';
import type { CreateBlackoutPeriodDto } from './dto/write-blackout-period.dto';

const LONGEST_MONTHS = 24;

@Injectable()
export class BlackoutPeriodsService {
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
    const { principal } = context;
    const { fromOn, untilOn } = dayInterval(body.fromOn, body.untilOn);
    const latestUntilOn = addMonths(fromOn, LONGEST_MONTHS);
    if (untilOn > latestUntilOn) throw blackoutTooLong(fromOn, latestUntilOn);
    return this.transactions.write(context, async (tx) => {
      const { fleetId } = await this.places.lock(tx, vehicleId);
      const same = await this.blackoutPeriods.findSame(tx, vehicleId, fromOn, untilOn);
      if (same !== null) throw blackoutAlready(fromOn, untilOn, same.id);
      const { organisationId } = principal;
      const values = { organisationId, vehicleId, fleetId, fromOn, untilOn, reason: body.reason };
      const answer = toBlackoutPeriodDto(
        await onConstraint(() => this.blackoutPeriods.create(tx, values), {
          blackout_periods_days_key: () => blackoutAlready(fromOn, untilOn),
        }),
      );
      await this.audit.record(tx, principal, { ...subject('created', answer), after: answer });
      return answer;
    });
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

  private async require(tx: Tx, vehicleId: string, blackoutPeriodId: string): Promise<BlackoutPeriod> {
    const period = await this.blackoutPeriods.find(tx, vehicleId, blackoutPeriodId);
    if (period === null) throw notFound('blackout period', blackoutPeriodId);
    return period;
  }
}

function subject(action: ActionOn<'blackout-period'>, { id, vehicleId }: BlackoutPeriodDto): AuditRecord {
  return { action, subjectType: 'blackout-period', subjectId: id, vehicleId };
}
