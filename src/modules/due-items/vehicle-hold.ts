import type { HoldableItem, HoldStatus } from '../../core/due/hold';
import type { HydraulicLayout } from '../../core/hydraulics/hydraulic-layout';
import type { EmptiedPosition } from '../../core/hydraulics/missing-unit-findings';
import type { CalendarDate } from '../../core/shared/calendar-date';

/** An item that holds its vehicle: past its late limit, or with a test that failed. */
export type HoldingItem = HoldableItem & { id: string };

/** A hold that a person placed and nobody has lifted; instants as Postgres writes them in JSON. */
export interface ManualHoldRecord {
  id: string;
  reason: string;
  placedBy: string;
  placedAt: string;
  placedOn: CalendarDate;
  revision: number;
}

/** An override that is in force today. */
export interface OverrideRecord {
  id: string;
  reasonKeys: string[];
  namedPerson: string;
  statement: string;
  fromOn: CalendarDate;
  /** last day on which it counts */
  untilOn: CalendarDate;
  recordedBy: string;
  recordedAt: string;
  revision: number;
}

/** Everything recorded that may keep a vehicle off the road today, and what may let it go all the same. */
export interface HoldRecords {
  vehicleId: string;
  fleetId: string;
  depotId: string;
  registrationMark: string;
  fleetNumber: string | null;
  zone: string;
  /** today at the depot */
  todayOn: CalendarDate;
  /** out of service, so that nothing has to hold it */
  retired: boolean;
  layout: HydraulicLayout | null;
  holdingItems: HoldingItem[] | null;
  /** positions whose unit was taken out and not replaced */
  emptiedPositions: EmptiedPosition[] | null;
  manualHolds: ManualHoldRecord[] | null;
  overrides: OverrideRecord[] | null;
}

export interface VehicleHold {
  records: HoldRecords;
  status: HoldStatus;
}

export interface HoldFilter {
  fleetId?: string;
  depotId?: string;
  vehicleId?: string;
}
