import { Injectable } from '@nestjs/common';
import { localDateAt } from '../../core/shared/calendar-date';
import { Clock } from '../../platform/clock/clock';
import { Transactions } from '../../platform/database/transactions';
import type { RequestContext } from '../../platform/http/request-context';
import { demandOfItems } from './demand-of-items';
import { DemandRepository } from './demand.repository';
import type { DemandQueryDto } from './dto/demand-query.dto';
import type { DemandDto } from './dto/demand.dto';

const ASSUMPTIONS = [
  'Each piece of work counts with the probability of falling due in the month; what is overdue on the first day is done in the first month.',
  'Work is done on the day it is due, and comes back after its interval at the present use.',
  'Pieces of work fall due independently of each other: what moves all of them together, such as a busier year, is not in the band.',
  'Bands are those of each month alone: the ends of several months must not be added up.',
  'A task that is done along with another one is counted by itself.',
];

@Injectable()
export class DemandService {
  constructor(
    private readonly transactions: Transactions,
    private readonly demand: DemandRepository,
    private readonly clock: Clock,
  ) {}

  async expected(
    { principal }: RequestContext,
    { from, months = 12, ...filter }: DemandQueryDto,
  ): Promise<DemandDto> {
    const fromOn = from ?? localDateAt(this.clock.now(), 'UTC');
    const [items, vehiclesWithoutItems] = await this.transactions.read(principal, async (tx) => [
      await this.demand.items(tx, filter),
      await this.demand.vehiclesWithoutItems(tx, filter),
    ]);
    return {
      fromOn,
      probability: 0.9,
      ...demandOfItems(items, fromOn, months),
      vehiclesWithoutItems,
      assumptions: ASSUMPTIONS,
    };
  }
}
