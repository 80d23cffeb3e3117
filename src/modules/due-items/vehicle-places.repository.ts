import { Injectable } from '@nestjs/common';
import type { Tx } from '../../platform/database/transactions';
import type { VehiclePlace } from './vehicle-place';

const PLACES = `SELECT v.id AS "vehicleId", v.fleet_id AS "fleetId", v.depot_id AS "depotId", d.zone,
    v.odometer_unit AS "odometerUnit"
  FROM vehicles v JOIN depots d ON d.organisation_id = v.organisation_id AND d.id = v.depot_id
  WHERE v.id = ANY ($1::uuid[]) ORDER BY v.id`;

@Injectable()
export class VehiclePlacesRepository {
  find(tx: Tx, vehicleIds: readonly string[]): Promise<VehiclePlace[]> {
    return tx.query<VehiclePlace[]>(PLACES, [vehicleIds]);
  }

  /** Takes the vehicles for the transaction as well, in the order in which every write takes them. */
  lock(tx: Tx, vehicleIds: readonly string[]): Promise<VehiclePlace[]> {
    return tx.query<VehiclePlace[]>(`${PLACES} FOR NO KEY UPDATE OF v`, [vehicleIds]);
  }
}
