import type { Vehicle } from './vehicle-queries';

/** What a part of a vehicle's page is drawn from. */
export interface VehiclePartProps {
  vehicle: Vehicle;
  /** of the depot */
  zone: string;
}
