import { Injectable } from '@nestjs/common';
import { explain } from '../../core/due/explain';
import { Clock } from '../../platform/clock/clock';
import { Transactions } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import { DueItemsRepository, itemsOfVehicle, sortKeyOf } from './due-items.repository';
import {
  toDueItemDto,
  toFleetDueItemDto,
  type ExplainedDueItemDto,
  type FleetDueItemDto,
  type VehicleDueItemsDto,
} from './dto/due-item.dto';
import type { ListDueItemsQueryDto } from './dto/due-item-query.dto';
import { HoldStatusService } from './hold-status.service';

/** What is due, as people and machines read it: states are told on the reader's day. */
@Injectable()
export class DueListService {
  constructor(
    private readonly transactions: Transactions,
    private readonly dueItems: DueItemsRepository,
    private readonly holds: HoldStatusService,
    private readonly cursors: Cursors,
    private readonly clock: Clock,
  ) {}

  async ofVehicle({ principal }: RequestContext, vehicleId: string): Promise<VehicleDueItemsDto> {
    const rows = await this.transactions.readRows(principal, itemsOfVehicle(vehicleId, this.nowAt()));
    const [first] = rows;
    if (first === undefined) throw notFound('vehicle', vehicleId);
    const items = rows.flatMap((row) => (row.id === null ? [] : [toDueItemDto(row)]));
    return { vehicleId, zone: first.zone, todayOn: first.todayOn, items };
  }

  list({ principal }: RequestContext, query: ListDueItemsQueryDto): Promise<Page<FleetDueItemDto>> {
    const { limit = 50, cursor, ...filter } = query;
    const bound = { list: 'due-items', organisationId: principal.organisationId, filter };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const seen = after === null ? null : { dueOn: String(after[0]), id: String(after[1]) };
      const { onHold, ...rest } = filter;
      const held =
        onHold === undefined ? null : { is: onHold, vehicleIds: await this.holds.vehiclesOnHold(tx, filter) };
      const rows = await this.dueItems.list(tx, { ...rest, held }, this.nowAt(), seen, limit);
      return this.cursors.page(rows, limit, bound, sortKeyOf, toFleetDueItemDto);
    });
  }

  get({ principal }: RequestContext, dueItemId: string): Promise<ExplainedDueItemDto> {
    return this.transactions.read(principal, async (tx) => {
      const row = await this.dueItems.find(tx, dueItemId, this.nowAt());
      if (row === null) throw notFound('due item', dueItemId);
      const { reasoning } = row;
      return { ...toFleetDueItemDto(row), reasoning, explanation: explain({ ...row.details, reasoning }) };
    });
  }

  private nowAt(): string {
    return new Date(this.clock.now()).toISOString();
  }
}
