import type { DueItem } from '../../core/due/due-item';
import type { DueState } from '../../core/due/state';

/** What is stored of an item beside its reasoning. */
export type DueItemDetails = Omit<DueItem, 'reasoning'>;

/** A stored due item as it is read, with its state on the reader's day. */
export interface DueItemRow {
  id: string;
  vehicleId: string;
  fleetId: string;
  depotId: string;
  registrationMark: string;
  fleetNumber: string | null;
  zone: string;
  /** today at the depot */
  todayOn: string;
  state: DueState;
  details: DueItemDetails;
}

/** A row of one vehicle's items: the vehicle's part is there even when it owes nothing. */
export type VehicleDueItemRow = Omit<DueItemRow, 'id' | 'details'> &
  ({ id: string; details: DueItemDetails } | { id: null; details: null });
