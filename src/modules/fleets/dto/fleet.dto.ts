import type { Fleet } from '../fleet.entity';

/** Vehicles that are planned together. */
export class FleetDto {
  id!: string;
  /** The operator's own key. */
  externalKey!: string | null;
  /** @example Tarn Valley Patient Transport */
  name!: string;
  /** Programme of the fleet's vehicles; null follows the organisation's default. */
  serviceProgrammeId!: string | null;
  revision!: number;
  createdAt!: string;
  updatedAt!: string;
}

export class FleetPageDto {
  items!: FleetDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export function toFleetDto(fleet: Fleet): FleetDto {
  return {
    id: fleet.id,
    externalKey: fleet.externalKey,
    name: fleet.name,
    serviceProgrammeId: fleet.serviceProgrammeId,
    revision: fleet.revision,
    createdAt: fleet.createdAt.toISOString(),
    updatedAt: fleet.updatedAt.toISOString(),
  };
}
