import { Injectable } from '@nestjs/common';
import { parseInstant } from '../../core/shared/instant';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { parameterError } from '../../platform/errors/coded-error';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import { DowntimeRepository, type RequiredRow, type ScheduleRow } from './downtime.repository';
import type {
  DowntimeRecordDto,
  IndicatorGroup,
  IndicatorsQueryDto,
  ListDowntimeQueryDto,
  MaintenanceIndicatorsDto,
} from './dto/downtime.dto';
import { indicatorsOf, workshopIndicatorsOf, type GroupRecords } from './indicators-of';
import { minutesOf, type StayRow } from './stay-row';

const MS_PER_DAY = 86_400_000;
const DEFAULT_DAYS = 90;
const MOST_DAYS = 400;

/** How long vehicles were down for maintenance, and what that means for the fleet. */
@Injectable()
export class DowntimeService {
  constructor(
    private readonly transactions: Transactions,
    private readonly downtime: DowntimeRepository,
    private readonly cursors: Cursors,
    private readonly clock: Clock,
  ) {}

  list({ principal }: RequestContext, query: ListDowntimeQueryDto): Promise<Page<DowntimeRecordDto>> {
    const { limit = 50, cursor, ...filter } = query;
    const bound = { list: 'downtime-records', organisationId: principal.organisationId, filter };
    const after = this.cursors.after(cursor, bound);
    const seen = after === null ? null : { arrivedAt: String(after[0]), id: String(after[1]) };
    const nowAt = this.clock.now();
    return this.transactions.read(principal, async (tx) => {
      const rows = await this.downtime.stays(tx, filter, seen, limit);
      const keyOf = ({ arrivedAt, bookingId }: StayRow): string[] => [arrivedAt.toISOString(), bookingId];
      return this.cursors.page(rows, limit, bound, keyOf, (row) => toDowntimeRecordDto(row, nowAt));
    });
  }

  indicators({ principal }: RequestContext, query: IndicatorsQueryDto): Promise<MaintenanceIndicatorsDto> {
    const nowAt = this.clock.now();
    const endsAt = query.untilAt === undefined ? nowAt : parseInstant(query.untilAt, 'untilAt');
    const startsAt =
      query.fromAt === undefined ? endsAt - DEFAULT_DAYS * MS_PER_DAY : parseInstant(query.fromAt, 'fromAt');
    if (endsAt > nowAt) {
      throw parameterError('untilAt', 'The period is not over yet.', 'give an end that has passed');
    }
    if (startsAt >= endsAt || endsAt - startsAt > MOST_DAYS * MS_PER_DAY) {
      const detail = `The period is empty or longer than ${MOST_DAYS} days.`;
      throw parameterError('fromAt', detail, 'give a start before the end, not too long before it');
    }
    const { groupBy = 'none', fleetId, depotId, vehicleId } = query;
    const period = { startsAt, endsAt };
    const [fromAt, untilAt] = [new Date(startsAt).toISOString(), new Date(endsAt).toISOString()];
    const filter = { fleetId, depotId, vehicleId, fromAt, untilAt };
    return this.transactions.read(principal, async (tx) => {
      const [required, stays, schedule] = await Promise.all([
        this.downtime.required(tx, filter),
        this.downtime.stays(tx, filter, null, null),
        this.downtime.schedule(tx, filter),
      ]);
      const groups = await this.groupsOf(tx, groupBy, required, stays, schedule);
      const measure = groupBy === 'workshop' ? workshopIndicatorsOf : indicatorsOf;
      return {
        fromAt,
        untilAt,
        items: groups.map((group) => measure(group, period, Math.min(nowAt, endsAt))),
      };
    });
  }

  private async groupsOf(
    tx: Tx,
    groupBy: IndicatorGroup,
    required: readonly RequiredRow[],
    stays: readonly StayRow[],
    schedule: readonly ScheduleRow[],
  ): Promise<GroupRecords[]> {
    if (groupBy === 'none') return [{ id: null, name: null, required, stays, schedule }];
    if (groupBy === 'workshop') {
      const ids = [...new Set([...stays, ...schedule].map(({ workshopId }) => workshopId))];
      const names = await this.downtime.names(tx, 'workshops', ids);
      return names.map(({ id, name }) => ({
        id,
        name,
        required: [],
        stays: stays.filter(({ workshopId }) => workshopId === id),
        schedule: schedule.filter(({ workshopId }) => workshopId === id),
      }));
    }
    const keyOf = (row: RequiredRow): string =>
      groupBy === 'vehicle' ? row.vehicleId : groupBy === 'fleet' ? row.fleetId : row.depotId;
    const names =
      groupBy === 'vehicle'
        ? required.map(({ vehicleId, registrationMark }) => ({ id: vehicleId, name: registrationMark }))
        : await this.downtime.names(tx, groupBy === 'fleet' ? 'fleets' : 'depots', [
            ...new Set(required.map(keyOf)),
          ]);
    return names.map(({ id, name }) => {
      const vehicles = required.filter((row) => keyOf(row) === id);
      const ids = new Set(vehicles.map(({ vehicleId }) => vehicleId));
      const within = <Row extends { vehicleId: string }>(rows: readonly Row[]): Row[] =>
        rows.filter(({ vehicleId }) => ids.has(vehicleId));
      return { id, name, required: vehicles, stays: within(stays), schedule: within(schedule) };
    });
  }
}

function toDowntimeRecordDto(row: StayRow, nowAt: number): DowntimeRecordDto {
  return {
    bookingId: row.bookingId,
    vehicleId: row.vehicleId,
    registrationMark: row.registrationMark,
    fleetId: row.fleetId,
    depotId: row.depotId,
    workshopId: row.workshopId,
    cause: row.cause,
    arrivedAt: row.arrivedAt.toISOString(),
    releasedAt: row.releasedAt?.toISOString() ?? null,
    ...minutesOf(row, nowAt),
  };
}
