import { Check, Column, Entity, ForeignKey, Index, Unique } from 'typeorm';
import { TimestampedRecord } from '../../platform/database/tenant-record';

@Entity('vehicles')
@Unique('vehicles_external_key_key', ['organisationId', 'externalKey'])
@Unique('vehicles_fleet_key', ['organisationId', 'fleetId', 'id'])
@Index('vehicles_depot_idx', ['organisationId', 'depotId'])
@Index('vehicles_registration_mark_idx', ['organisationId', 'registrationMark'])
@Check('vehicles_odometer_unit_check', `odometer_unit IN ('km', 'mi')`)
@ForeignKey('Depot', ['organisationId', 'fleetId', 'depotId'], ['organisationId', 'fleetId', 'id'], {
  name: 'vehicles_depot_fkey',
})
@ForeignKey('ServiceProgramme', ['organisationId', 'serviceProgrammeId'], ['organisationId', 'id'], {
  name: 'vehicles_service_programme_fkey',
})
export class Vehicle extends TimestampedRecord {
  @Column('uuid')
  fleetId!: string;

  @Column('uuid')
  depotId!: string;

  @Column('text', { nullable: true })
  externalKey!: string | null;

  @Column('text')
  registrationMark!: string;

  @Column('text', { nullable: true })
  fleetNumber!: string | null;

  @Column('text', { nullable: true })
  vin!: string | null;

  /** duty class when it entered service; later ones are duty changes */
  @Column('text')
  dutyClass!: string;

  @Column('date', { nullable: true })
  inServiceOn!: string | null;

  @Column('double precision', { nullable: true })
  inServiceOdometerKm!: number | null;

  @Column('double precision', { nullable: true })
  inServiceEngineHours!: number | null;

  @Column('text')
  odometerUnit!: 'km' | 'mi';

  @Column('double precision', { nullable: true })
  statedYearlyDistanceKm!: number | null;

  @Column('uuid', { nullable: true })
  serviceProgrammeId!: string | null;

  @Column('date', { nullable: true })
  retiredOn!: string | null;
}
