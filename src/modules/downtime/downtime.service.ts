import { Injectable } from '@nestjs/common';
import { parseInstant } from '../../core/shared/instant';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { parameterError } from '../../platform/errors/coded-error';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import { DowntimeRepository } from './downtime.repository';
import type {
  DowntimeRecordDto,
  IndicatorGroup,
  IndicatorsQueryDto,
  ListDowntimeQueryDto,
  MaintenanceIndicatorsDto,
} from './dto/downtime.dto';
import { indicatorsOf, workshopIndicatorsOf } from './indicators-of';
import { intoGroups, type GroupName, type MaintenanceRecords } from './into-groups';
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
    const filter = { fleetId, depotId, vehicleId };
    const range = [new Date(startsAt).toISOString(), new Date(endsAt).toISOString()] as const;
    const [fromAt, untilAt] = range;
    return this.transactions.read(principal, async (tx) => {
      const records = {
        required: await this.downtime.required(tx, filter, range),
        downtimes: await this.downtime.downtimes(tx, filter, range),
        work: await this.downtime.work(tx, filter, range),
      };
      const names = await this.namesOf(tx, groupBy, records);
      const measure = groupBy === 'workshop' ? workshopIndicatorsOf : indicatorsOf;
      const items = intoGroups(groupBy, names, records).map((group) => measure(group, { startsAt, endsAt }));
      return { fromAt, untilAt, items };
    });
  }

  private async namesOf(
    tx: Tx,
    groupBy: IndicatorGroup,
    { required, downtimes, work }: MaintenanceRecords,
  ): Promise<GroupName[]> {
    switch (groupBy) {
      case 'none':
        return [{ id: null, name: null }];
      case 'vehicle':
        return required.map(({ vehicleId, registrationMark }) => ({ id: vehicleId, name: registrationMark }));
      case 'fleet':
        return this.downtime.names(tx, 'fleets', new Set(required.map(({ fleetId }) => fleetId)));
      case 'depot':
        return this.downtime.names(tx, 'depots', new Set(required.map(({ depotId }) => depotId)));
      case 'workshop':
        return this.downtime.names(
          tx,
          'workshops',
          new Set([...downtimes, ...work].map(({ workshopId }) => workshopId)),
        );
    }
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
