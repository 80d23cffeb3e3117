import { stateOn } from '../../core/due/state';
import type { CalendarDate } from '../../core/shared/calendar-date';
import type { MovedItemDto, PreviewCountsDto } from './dto/programme-preview.dto';
import { itemChanges, type ComparedItem, type ItemChange, type Move } from './item-changes';

/** A vehicle with what it owes now. */
export interface ComparedVehicle {
  vehicleId: string;
  registrationMark: string;
  fleetNumber: string | null;
  todayOn: CalendarDate;
  items: ComparedItem[];
}

const COUNTED: Readonly<Record<Move, keyof PreviewCountsDto>> = {
  'window-moved': 'windowMoved',
  earlier: 'earlier',
  later: 'later',
  new: 'new',
  gone: 'gone',
  'became-undetermined': 'becameUndetermined',
  'became-determined': 'becameDetermined',
};

/** Adds up what other rules would change, vehicle by vehicle, and keeps the largest moves. */
export class PreviewTally {
  readonly counts: PreviewCountsDto = {
    vehicles: 0,
    unchanged: 0,
    windowMoved: 0,
    earlier: 0,
    later: 0,
    new: 0,
    gone: 0,
    becameUndetermined: 0,
    becameDetermined: 0,
    newlyOverdue: 0,
    noLongerOverdue: 0,
    vehiclesNewlyOnSafetyHold: 0,
    vehiclesOffSafetyHold: 0,
  };
  movedCount = 0;
  private kept: MovedItemDto[] = [];

  constructor(private readonly limit: number) {}

  add(vehicle: ComparedVehicle, after: readonly ComparedItem[]): void {
    const changes = itemChanges(vehicle.items, after, vehicle.todayOn);
    this.counts.vehicles += 1;
    for (const change of changes) {
      this.counts[change.move === null ? 'unchanged' : COUNTED[change.move]] += 1;
      const was = change.stateBefore === 'overdue';
      const is = change.stateAfter === 'overdue';
      if (is && !was) this.counts.newlyOverdue += 1;
      if (was && !is) this.counts.noLongerOverdue += 1;
      if (change.move !== null) this.keep(movedItem(vehicle, change, change.move));
    }
    const heldBefore = isOnSafetyHold(vehicle.items, vehicle.todayOn);
    const heldAfter = isOnSafetyHold(after, vehicle.todayOn);
    if (heldAfter && !heldBefore) this.counts.vehiclesNewlyOnSafetyHold += 1;
    if (heldBefore && !heldAfter) this.counts.vehiclesOffSafetyHold += 1;
  }

  /** The largest moves, sorted; items without a date before or after come last. */
  moved(): MovedItemDto[] {
    return this.kept.sort(bySizeOfMove).slice(0, this.limit);
  }

  private keep(item: MovedItemDto): void {
    this.movedCount += 1;
    this.kept.push(item);
    if (this.kept.length >= 4 * this.limit) this.kept = this.moved();
  }
}

function isOnSafetyHold(items: readonly ComparedItem[], todayOn: CalendarDate): boolean {
  return items.some((item) => item.safetyCritical && stateOn(item, todayOn) === 'overdue');
}

function movedItem(vehicle: ComparedVehicle, { item, ...change }: ItemChange, move: Move): MovedItemDto {
  const { vehicleId, registrationMark, fleetNumber } = vehicle;
  const { key, task, title, position, safetyCritical } = item;
  return {
    vehicleId,
    registrationMark,
    fleetNumber,
    key,
    task,
    title,
    position,
    safetyCritical,
    ...change,
    move,
  };
}

function bySizeOfMove(a: MovedItemDto, b: MovedItemDto): number {
  const namesA = `${a.registrationMark} ${a.vehicleId} ${a.key}`;
  const namesB = `${b.registrationMark} ${b.vehicleId} ${b.key}`;
  return sizeOf(b) - sizeOf(a) || (namesA < namesB ? -1 : namesA > namesB ? 1 : 0);
}

const sizeOf = ({ movedDays }: MovedItemDto): number => (movedDays === null ? -1 : Math.abs(movedDays));
