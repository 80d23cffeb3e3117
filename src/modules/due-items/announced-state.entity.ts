import { Column, Entity, PrimaryColumn } from 'typeorm';
import { VehicleForeignKey } from '../../platform/database/vehicle-foreign-key';

/** A state that the passing of time brought about and that has been told of. */
@Entity('announced_states')
@VehicleForeignKey('announced_states_vehicle_fkey')
export class AnnouncedState {
  @PrimaryColumn('uuid')
  organisationId!: string;

  @PrimaryColumn('uuid')
  vehicleId!: string;

  @Column('uuid')
  fleetId!: string;

  /** a due item in one of its cycles, or the vehicle itself */
  @PrimaryColumn('text')
  item!: string;

  /** `due`, `overdue`; of the vehicle `on-hold` */
  @PrimaryColumn('text')
  state!: string;

  @Column('timestamptz', { default: () => 'now()' })
  announcedAt!: Date;
}
