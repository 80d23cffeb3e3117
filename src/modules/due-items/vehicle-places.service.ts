import { Injectable } from '@nestjs/common';
import { localDateAt, type CalendarDate } from '../../core/shared/calendar-date';
import { Clock } from '../../platform/clock/clock';
import type { Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import type { VehiclePlace } from './vehicle-place';
import { VehiclePlacesRepository } from './vehicle-places.repository';

/** Tells other records of a vehicle where it belongs and which day it is there. */
@Injectable()
export class VehiclePlacesService {
  constructor(
    private readonly places: VehiclePlacesRepository,
    private readonly clock: Clock,
  ) {}

  /** @throws CodedError `not-found`, also for a vehicle of somebody else */
  async require(tx: Tx, vehicleId: string): Promise<VehiclePlace> {
    const [place] = await this.places.find(tx, [vehicleId]);
    if (place === undefined) throw notFound('vehicle', vehicleId);
    return place;
  }

  /**
   * Takes the vehicle for the transaction, before anything about it is read that the write depends on.
   *
   * @throws CodedError `not-found`, also for a vehicle of somebody else
   */
  async lock(tx: Tx, vehicleId: string): Promise<VehiclePlace> {
    const [place] = await this.places.lock(tx, [vehicleId]);
    if (place === undefined) throw notFound('vehicle', vehicleId);
    return place;
  }

  /** By vehicle id; vehicles that do not exist are missing. */
  async of(tx: Tx, vehicleIds: readonly string[]): Promise<Map<string, VehiclePlace>> {
    const places = await this.places.find(tx, [...new Set(vehicleIds)]);
    return new Map(places.map((place) => [place.vehicleId, place]));
  }

  /** Today at the vehicle's depot. */
  todayOn({ zone }: Pick<VehiclePlace, 'zone'>): CalendarDate {
    return localDateAt(this.clock.now(), zone);
  }
}
