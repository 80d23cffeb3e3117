import type { Depot } from '../depot.entity';

/** A place where vehicles stand and start from; its zone decides when a day begins. */
export class DepotDto {
  /** @example 019ac1f2-7a30-7b61-a0c3-5f1d0e6f2b11 */
  id!: string;
  fleetId!: string;
  /** The operator's own key. */
  externalKey!: string | null;
  /** @example Upper Tarn */
  name!: string;
  /**
   * IANA time zone.
   * @example Europe/London
   */
  zone!: string;
  revision!: number;
  createdAt!: string;
  updatedAt!: string;
}

export class DepotPageDto {
  items!: DepotDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export function toDepotDto(depot: Depot): DepotDto {
  return {
    id: depot.id,
    fleetId: depot.fleetId,
    externalKey: depot.externalKey,
    name: depot.name,
    zone: depot.zone,
    revision: depot.revision,
    createdAt: depot.createdAt.toISOString(),
    updatedAt: depot.updatedAt.toISOString(),
  };
}
