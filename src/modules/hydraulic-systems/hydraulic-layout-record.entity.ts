import { Check, Column, Entity, Exclusion, Index } from 'typeorm';
import type {
  FittedAnswer,
  LayoutEvidenceByFact,
  PumpKind,
  SteeringRegulator,
  SteeringSupply,
} from '../../core/hydraulics/hydraulic-layout';
import { TenantRecord } from '../../platform/database/tenant-record';
import { VehicleForeignKey } from '../../platform/database/vehicle-foreign-key';

/** What was known of a vehicle's hydraulic system from one moment until another; corrections supersede. */
@Entity('hydraulic_layouts')
@Check('hydraulic_layouts_period_check', `superseded_at IS NULL OR superseded_at > recorded_at`)
@Exclusion(
  'hydraulic_layouts_no_overlap',
  `USING gist (organisation_id WITH =, vehicle_id WITH =, tstzrange(recorded_at, superseded_at, '[)') WITH &&)`,
)
@Index('hydraulic_layouts_current_idx', ['organisationId', 'vehicleId'], {
  unique: true,
  where: 'superseded_at IS NULL',
})
@VehicleForeignKey('hydraulic_layouts_vehicle_fkey')
export class HydraulicLayoutRecord extends TenantRecord {
  @Column('uuid')
  vehicleId!: string;

  @Column('uuid')
  fleetId!: string;

  @Column('text')
  pumpKind!: PumpKind;

  @Column('text')
  antiSinkValves!: FittedAnswer;

  @Column('text')
  rearBrakeAccumulator!: FittedAnswer;

  @Column('text')
  steeringSupply!: SteeringSupply;

  @Column('text')
  steeringRegulator!: SteeringRegulator;

  @Column('text', { nullable: true })
  fluid!: string | null;

  @Column('double precision', { nullable: true })
  reservoirLitres!: number | null;

  @Column('jsonb')
  evidence!: LayoutEvidenceByFact;

  @Column('text')
  recordedBy!: string;

  @Column('timestamptz', { default: () => 'now()' })
  recordedAt!: Date;

  @Column('timestamptz', { nullable: true })
  supersededAt!: Date | null;
}
