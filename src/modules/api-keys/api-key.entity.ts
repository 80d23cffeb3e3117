import { Check, Column, CreateDateColumn, Entity, ForeignKey } from 'typeorm';
import { RevisedRecord } from '../../platform/database/tenant-record';
import type { Role } from '../../platform/security/role';

@Entity('api_keys')
@Check(
  'api_keys_role_check',
  `role IN ('fleet-planner', 'front-desk', 'technician', 'dealer-system', 'administrator')`,
)
@ForeignKey('Organisation', ['organisationId'], ['organisationId'], { name: 'api_keys_organisation_fkey' })
export class ApiKey extends RevisedRecord {
  @Column('text')
  name!: string;

  @Column('text')
  role!: Role;

  @Column('bytea')
  secretSha256!: Buffer;

  /** null: every fleet of the organisation */
  @Column('uuid', { array: true, nullable: true })
  fleetIds!: string[] | null;

  /** null: every workshop of the organisation */
  @Column('uuid', { array: true, nullable: true })
  workshopIds!: string[] | null;

  @Column('timestamptz', { nullable: true })
  expiresAt!: Date | null;

  @Column('timestamptz', { nullable: true })
  revokedAt!: Date | null;

  @Column('text')
  createdBy!: string;

  @CreateDateColumn({ type: 'timestamptz', default: () => 'now()' })
  createdAt!: Date;
}
