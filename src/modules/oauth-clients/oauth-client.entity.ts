import { Check, Column, CreateDateColumn, Entity, ForeignKey } from 'typeorm';
import { RevisedRecord } from '../../platform/database/tenant-record';
import type { Role } from '../../platform/security/role';
import type { Scope } from '../../platform/security/scope';

@Entity('oauth_clients')
@Check(
  'oauth_clients_role_check',
  `role IN ('fleet-planner', 'front-desk', 'technician', 'dealer-system', 'administrator')`,
)
@Check(
  'oauth_clients_scopes_check',
  `cardinality(scopes) > 0 AND scopes <@ '{read,write,manage-access}'::text[]`,
)
@Check(
  'oauth_clients_previous_secret_check',
  `(previous_secret_sha256 IS NULL) = (previous_secret_ends_at IS NULL)`,
)
@ForeignKey('Organisation', ['organisationId'], ['organisationId'], {
  name: 'oauth_clients_organisation_fkey',
})
export class OAuthClient extends RevisedRecord {
  @Column('text')
  name!: string;

  @Column('text')
  role!: Role;

  /** what its tokens can be asked for */
  @Column('text', { array: true })
  scopes!: Scope[];

  /** null: every fleet of the organisation */
  @Column('uuid', { array: true, nullable: true })
  fleetIds!: string[] | null;

  /** null: every workshop of the organisation */
  @Column('uuid', { array: true, nullable: true })
  workshopIds!: string[] | null;

  /** names the secret in the audit trail */
  @Column('uuid')
  secretId!: string;

  @Column('bytea')
  secretSha256!: Buffer;

  @Column('timestamptz')
  secretMadeAt!: Date;

  /** the secret before the last rotation, accepted until its end */
  @Column('bytea', { nullable: true })
  previousSecretSha256!: Buffer | null;

  @Column('timestamptz', { nullable: true })
  previousSecretEndsAt!: Date | null;

  @Column('timestamptz', { nullable: true })
  revokedAt!: Date | null;

  @Column('text')
  createdBy!: string;

  @CreateDateColumn({ type: 'timestamptz', default: () => 'now()' })
  createdAt!: Date;
}
