import type { VehicleDto } from '../../modules/vehicles/dto/vehicle.dto';
import type { ApiClient } from '../api-client';

/** The vehicle that the operator knows by a key. */
export async function vehicleOfKey(api: ApiClient, externalKey: string): Promise<VehicleDto> {
  const [vehicle] = await api.getAll<VehicleDto>(
    `/v1/vehicles?externalKey=${encodeURIComponent(externalKey)}`,
  );
  if (vehicle === undefined) throw new Error(`no vehicle has the key ${externalKey}`);
  return vehicle;
}
