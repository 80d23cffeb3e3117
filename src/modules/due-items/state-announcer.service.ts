import { Injectable } from '@nestjs/common';
import { AuditTrail, type Announcement } from '../../platform/audit/audit-trail';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { systemPrincipal, type Principal } from '../../platform/security/principal';
import {
  AnnouncedStatesRepository,
  itemOf,
  VEHICLE,
  type AnnouncedKey,
  type StandingItem,
} from './announced-states.repository';
import { DueItemsService } from './due-items.service';
import { toFleetDueItemDto } from './dto/due-item.dto';
import { HoldStatusService } from './hold-status.service';
import type { VehicleHold } from './vehicle-hold';

const BATCH = 200;

const ACTIONS = { due: 'became-due', overdue: 'became-overdue' } as const;

/**
 * Tells of what no write brings about: the day came on which a due item is due or overdue, or a vehicle is on hold or
 * on hold no more. What has been told is kept, so each is told once however often and wherever this runs.
 */
@Injectable()
export class StateAnnouncerService {
  constructor(
    private readonly transactions: Transactions,
    private readonly announced: AnnouncedStatesRepository,
    private readonly dueItems: DueItemsService,
    private readonly holds: HoldStatusService,
    private readonly audit: AuditTrail,
    private readonly clock: Clock,
  ) {}

  /** Looks at every vehicle of an organisation, in transactions of a batch each; answers how many events that made. */
  async run(organisationId: string): Promise<number> {
    const principal = systemPrincipal(organisationId, 'announcement of states');
    await this.transactions.run(principal, (tx) => this.announced.removeSettled(tx));
    return (await this.tellOfDueItems(principal)) + (await this.tellOfHolds(principal));
  }

  private async tellOfDueItems(principal: Principal): Promise<number> {
    for (let total = 0; ;) {
      const [vehicles, events] = await this.transactions.run(principal, async (tx) => {
        const nowAt = this.nowAt();
        // locked before they are looked at again, so that nothing is told that a write is just settling
        const ids = await this.announced.vehiclesWithNews(tx, nowAt, BATCH);
        await this.dueItems.lockVehicles(tx, ids);
        const items = await this.announced.standing(tx, ids, nowAt);
        const added = await this.announced.add(tx, principal.organisationId, items.flatMap(statesOf));
        const announcements = newsOf(items, added);
        await this.audit.announce(tx, principal, announcements);
        return [ids.length, announcements.length];
      });
      total += events;
      if (vehicles < BATCH) return total;
    }
  }

  private async tellOfHolds(principal: Principal): Promise<number> {
    const changed = await this.transactions.run(principal, async (tx) => {
      const held = new Set(await this.holds.vehiclesOnHold(tx, {}));
      const told = new Set(await this.announced.heldVehicles(tx));
      return [...held, ...told].filter((id) => held.has(id) !== told.has(id)).sort();
    });
    let total = 0;
    for (let start = 0; start < changed.length; start += BATCH) {
      const ids = changed.slice(start, start + BATCH);
      total += await this.transactions.run(principal, (tx) => this.tellOfHoldsOf(tx, principal, ids));
    }
    return total;
  }

  private async tellOfHoldsOf(tx: Tx, principal: Principal, vehicleIds: readonly string[]): Promise<number> {
    await this.dueItems.lockVehicles(tx, vehicleIds);
    const vehicles = await this.holds.statusOf(tx, vehicleIds);
    const [held, free] = [vehicles.filter(isHeld), vehicles.filter((vehicle) => !isHeld(vehicle))];
    const began = await this.announced.add(
      tx,
      principal.organisationId,
      held.map(({ records: { vehicleId, fleetId } }) => ({
        vehicleId,
        fleetId,
        item: VEHICLE,
        state: 'on-hold',
      })),
    );
    const ended = await this.announced.release(
      tx,
      free.map(({ records }) => records.vehicleId),
    );
    const [hasBegun, hasEnded] = [new Set(began.map(({ vehicleId }) => vehicleId)), new Set(ended)];
    const announcements = vehicles.flatMap((vehicle) => {
      const id = vehicle.records.vehicleId;
      if (hasBegun.has(id)) return [holdEvent('hold-began', vehicle)];
      return hasEnded.has(id) ? [holdEvent('hold-ended', vehicle)] : [];
    });
    await this.audit.announce(tx, principal, announcements);
    return announcements.length;
  }

  private nowAt(): string {
    return new Date(this.clock.now()).toISOString();
  }
}

// Whatever is overdue became due first, also where nobody looked on the days between.
function statesOf(item: StandingItem): AnnouncedKey[] {
  const { vehicleId, fleetId } = item;
  const states = item.state === 'overdue' ? (['due', 'overdue'] as const) : (['due'] as const);
  return states.map((state) => ({ vehicleId, fleetId, item: itemOf(item), state }));
}

function newsOf(items: readonly StandingItem[], added: readonly AnnouncedKey[]): Announcement[] {
  const keyOf = ({ vehicleId, item, state }: AnnouncedKey): string => `${vehicleId} ${state} ${item}`;
  const isNew = new Set(added.map(keyOf));
  return items.flatMap((row) =>
    statesOf(row)
      .filter((key) => isNew.has(keyOf(key)))
      .map(({ state }) => ({
        subjectType: 'due-item',
        action: state === 'overdue' ? ACTIONS.overdue : ACTIONS.due,
        subjectId: row.id,
        vehicleId: row.vehicleId,
        fleetId: row.fleetId,
        data: toFleetDueItemDto(row),
      })),
  );
}

const isHeld = ({ records, status }: VehicleHold): boolean => status.onHold && !records.retired;

function holdEvent(action: 'hold-began' | 'hold-ended', { records, status }: VehicleHold): Announcement {
  const { vehicleId, fleetId, depotId, registrationMark, fleetNumber, zone, todayOn } = records;
  return {
    subjectType: 'vehicle',
    action,
    subjectId: vehicleId,
    vehicleId,
    fleetId,
    data: {
      vehicleId,
      fleetId,
      depotId,
      registrationMark,
      fleetNumber,
      zone,
      todayOn,
      onHold: action === 'hold-began',
      reasons: status.reasons,
    },
  };
}
