import { Column, Entity, Index, Unique } from 'typeorm';
import { TenantRecord } from '../../platform/database/tenant-record';
import { VehicleForeignKey } from '../../platform/database/vehicle-foreign-key';

/** A due item as it was computed from the vehicle's records; its state is told when it is read. */
@Entity('due_items')
@Unique('due_items_item_key', ['organisationId', 'vehicleId', 'itemKey'])
// on an expression, which the entity cannot word: see the migration
@Index('due_items_listing_idx', { synchronize: false })
@Index('due_items_safety_idx', ['organisationId', 'lateOn'], { where: 'safety_critical' })
@Index('due_items_failed_test_idx', ['organisationId', 'vehicleId'], { where: `driver = 'failed-test'` })
@VehicleForeignKey('due_items_vehicle_fkey')
export class DueItemRecord extends TenantRecord {
  @Column('uuid')
  vehicleId!: string;

  @Column('uuid')
  fleetId!: string;

  @Column('uuid')
  depotId!: string;

  @Column('text')
  itemKey!: string;

  @Column('text')
  task!: string;

  @Column('text', { nullable: true })
  position!: string | null;

  @Column('boolean')
  safetyCritical!: boolean;

  @Column('text', { nullable: true })
  driver!: string | null;

  @Column('date', { nullable: true })
  earlyOn!: string | null;

  @Column('date', { nullable: true })
  dueOn!: string | null;

  @Column('date', { nullable: true })
  lateOn!: string | null;

  // `json`, not `jsonb`: the text stays as it was written, so that stored and recomputed can be compared
  @Column('json')
  details!: unknown;

  @Column('json')
  reasoning!: unknown;
}
