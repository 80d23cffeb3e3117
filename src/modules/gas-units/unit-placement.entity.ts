import { Check, Column, Entity, Exclusion, ForeignKey, Index, Unique } from 'typeorm';
import type { UnitPlacementState } from '../../core/hydraulics/unit-positions';
import { TenantRecord } from '../../platform/database/tenant-record';

/** Where a unit was from a moment until a moment; one without an end is where it is now. */
@Entity('unit_placements')
@Unique('unit_placements_external_key_key', ['organisationId', 'externalKey'])
@Index('unit_placements_unit_idx', ['organisationId', 'unitId', 'fromAt'])
@Index('unit_placements_vehicle_idx', ['organisationId', 'vehicleId', 'position', 'fromAt'])
@Index('unit_placements_left_idx', ['organisationId', 'vehicleId', 'position'], {
  where: 'vehicle_id IS NOT NULL AND until_at IS NOT NULL',
})
@Index('unit_placements_depot_idx', ['organisationId', 'depotId'], { where: 'until_at IS NULL' })
@Check('unit_placements_state_check', `state IN ('fitted', 'on-the-shelf', 'away-for-recharge', 'scrapped')`)
@Check('unit_placements_period_check', `until_at > from_at`)
@Check('unit_placements_scrapped_check', `state <> 'scrapped' OR until_at IS NULL`)
@Check(
  'unit_placements_place_check',
  `(state = 'fitted') = (vehicle_id IS NOT NULL) AND (state = 'fitted') = (position IS NOT NULL)
  AND (vehicle_id IS NULL) = (vehicle_fleet_id IS NULL)
  AND (state = 'on-the-shelf' OR depot_id IS NULL) AND (state = 'away-for-recharge' OR away_with IS NULL)`,
)
@Check('unit_placements_distance_check', `vehicle_total_km_until >= vehicle_total_km_from`)
@Exclusion(
  'unit_placements_unit_in_one_place',
  `USING gist (organisation_id WITH =, unit_id WITH =, tstzrange(from_at, until_at, '[)') WITH &&)`,
)
@Exclusion(
  'unit_placements_position_has_one_unit',
  `USING gist (organisation_id WITH =, vehicle_id WITH =, position WITH =, tstzrange(from_at, until_at, '[)') WITH &&) WHERE (vehicle_id IS NOT NULL)`,
)
@ForeignKey('GasUnit', ['organisationId', 'fleetId', 'unitId'], ['organisationId', 'fleetId', 'id'], {
  name: 'unit_placements_unit_fkey',
  onUpdate: 'CASCADE',
})
@ForeignKey(
  'Vehicle',
  ['organisationId', 'vehicleFleetId', 'vehicleId'],
  ['organisationId', 'fleetId', 'id'],
  {
    name: 'unit_placements_vehicle_fkey',
    onUpdate: 'CASCADE',
  },
)
@ForeignKey('Depot', ['organisationId', 'depotId'], ['organisationId', 'id'], {
  name: 'unit_placements_depot_fkey',
})
export class UnitPlacement extends TenantRecord {
  /** the unit's fleet, so that its whole history goes with it */
  @Column('uuid')
  fleetId!: string;

  @Column('uuid')
  unitId!: string;

  @Column('text')
  state!: UnitPlacementState;

  @Column('uuid', { nullable: true })
  vehicleId!: string | null;

  /** the vehicle's fleet; the database fills it in */
  @Column('uuid', { nullable: true })
  vehicleFleetId!: string | null;

  @Column('text', { nullable: true })
  position!: string | null;

  /** whose shelf */
  @Column('uuid', { nullable: true })
  depotId!: string | null;

  /** who recharges it */
  @Column('text', { nullable: true })
  awayWith!: string | null;

  @Column('timestamptz')
  fromAt!: Date;

  @Column('timestamptz', { nullable: true })
  untilAt!: Date | null;

  /** total distance of the vehicle at the fitting; null where unknown */
  @Column('double precision', { nullable: true })
  vehicleTotalKmFrom!: number | null;

  /** total distance of the vehicle when the unit was taken out; null where unknown or still fitted */
  @Column('double precision', { nullable: true })
  vehicleTotalKmUntil!: number | null;

  @Column('text')
  movedBy!: string;

  @Column('text', { nullable: true })
  note!: string | null;

  @Column('text', { nullable: true })
  externalKey!: string | null;

  @Column('timestamptz', { default: () => 'now()' })
  recordedAt!: Date;
}
