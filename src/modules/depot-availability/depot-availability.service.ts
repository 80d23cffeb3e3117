import { Injectable } from '@nestjs/common';
import { addDays, localDateAt } from '../../core/shared/calendar-date';
import { Clock } from '../../platform/clock/clock';
import { Transactions } from '../../platform/database/transactions';
import type { RequestContext } from '../../platform/http/request-context';
import { RosterNeedsService } from '../roster-needs/roster-needs.service';
import { DepotAvailabilityRepository } from './depot-availability.repository';
import { depotDays } from './depot-days';
import type { DepotDaysQueryDto } from './dto/depot-days-query.dto';
import { toVehicleAwayDto, type DepotAvailabilityByDayDto } from './dto/depot-days.dto';

@Injectable()
export class DepotAvailabilityService {
  constructor(
    private readonly transactions: Transactions,
    private readonly availability: DepotAvailabilityRepository,
    private readonly rosters: RosterNeedsService,
    private readonly clock: Clock,
  ) {}

  byDay(
    { principal }: RequestContext,
    { from, days = 28, ...filter }: DepotDaysQueryDto,
  ): Promise<DepotAvailabilityByDayDto> {
    const now = this.clock.now();
    const fromOn = from ?? localDateAt(now, 'UTC');
    const untilOn = addDays(fromOn, days);
    return this.transactions.read(principal, async (tx) => {
      const depots = await this.availability.depots(tx, filter);
      const ids = depots.map(({ id }) => id);
      const vehicles = await this.availability.vehicles(tx, ids, fromOn);
      const away = await this.availability.away(tx, ids, { fromOn, untilOn, now: new Date(now) });
      const needs = await this.rosters.neededOn(tx, ids, fromOn, untilOn);
      return {
        fromOn,
        untilOn,
        depots: depots.map(({ id, name }) => {
          const own = away.filter(({ depotId }) => depotId === id).map(toVehicleAwayDto);
          const { isDefault = true, neededByDay = [] } = needs.get(id) ?? {};
          const retiredOn = vehicles.filter(({ depotId }) => depotId === id).map((each) => each.retiredOn);
          const counted = depotDays(fromOn, { retiredOn, needed: neededByDay, away: own });
          return { depotId: id, name, isDefaultRoster: isDefault, days: counted, away: own };
        }),
      };
    });
  }
}
