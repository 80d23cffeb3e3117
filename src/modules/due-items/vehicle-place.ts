/** Where a vehicle belongs, and what its records need to know of it. */
export interface VehiclePlace {
  vehicleId: string;
  fleetId: string;
  depotId: string;
  /** IANA zone of the depot */
  zone: string;
  odometerUnit: 'km' | 'mi';
}
