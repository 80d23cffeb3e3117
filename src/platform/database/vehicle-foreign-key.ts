import { ForeignKey } from 'typeorm';

/** Ties a row to its vehicle and, with it, to the vehicle's fleet: a row cannot name a fleet of its own. */
export const VehicleForeignKey = (name: string): ClassDecorator =>
  ForeignKey('Vehicle', ['organisationId', 'fleetId', 'vehicleId'], ['organisationId', 'fleetId', 'id'], {
    name,
    onUpdate: 'CASCADE',
  });
