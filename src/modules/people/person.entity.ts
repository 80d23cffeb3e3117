import { Check, Column, CreateDateColumn, Entity, ForeignKey, Unique } from 'typeorm';
import { RevisedRecord } from '../../platform/database/tenant-record';
import type { Role } from '../../platform/security/role';
import type { DistanceUnit, PressureUnit } from '../../platform/units/shown-units';

export const personStates = ['invited', 'active', 'disabled'] as const;
export type PersonState = (typeof personStates)[number];

/** Somebody who signs in with an address and a password. */
@Entity('people')
@Unique('people_address_key', ['organisationId', 'addressDigest'])
@Check(
  'people_role_check',
  `role IN ('fleet-planner', 'front-desk', 'technician', 'dealer-system', 'administrator')`,
)
@Check('people_state_check', `state IN ('invited', 'active', 'disabled')`)
@Check('people_password_check', `state <> 'active' OR password_hash IS NOT NULL`)
@Check(
  'people_invitation_check',
  '(invitation_sha256 IS NULL) = (invitation_expires_at IS NULL) AND (invitation_sha256 IS NULL) = (invitation_id IS NULL)',
)
@Check('people_distance_unit_check', `distance_unit IN ('km', 'mi')`)
@Check('people_pressure_unit_check', `pressure_unit IN ('bar', 'kPa', 'psi')`)
@ForeignKey('Organisation', ['organisationId'], ['organisationId'], { name: 'people_organisation_fkey' })
@ForeignKey('Technician', ['organisationId', 'technicianId'], ['organisationId', 'id'], {
  name: 'people_technician_fkey',
})
export class Person extends RevisedRecord {
  @Column('text')
  name!: string;

  /** as it was typed; signing in knows it by the digest */
  @Column('text')
  email!: string;

  @Column('bytea')
  addressDigest!: Buffer;

  @Column('text')
  role!: Role;

  /** null: every fleet of the organisation */
  @Column('uuid', { array: true, nullable: true })
  fleetIds!: string[] | null;

  /** null: every workshop of the organisation */
  @Column('uuid', { array: true, nullable: true })
  workshopIds!: string[] | null;

  @Column('uuid', { nullable: true })
  technicianId!: string | null;

  @Column('text', { nullable: true })
  locale!: string | null;

  /** null: the organisation's */
  @Column('text', { nullable: true })
  distanceUnit!: DistanceUnit | null;

  /** null: the organisation's */
  @Column('text', { nullable: true })
  pressureUnit!: PressureUnit | null;

  @Column('text')
  state!: PersonState;

  /** argon2id in PHC's string format; kept while a person is disabled */
  @Column('text', { nullable: true })
  passwordHash!: string | null;

  /** names the invitation that is open; no secret */
  @Column('uuid', { nullable: true })
  invitationId!: string | null;

  @Column('bytea', { nullable: true })
  invitationSha256!: Buffer | null;

  @Column('timestamptz', { nullable: true })
  invitationExpiresAt!: Date | null;

  @Column('timestamptz')
  invitedAt!: Date;

  @Column('timestamptz', { nullable: true })
  lastSignedInAt!: Date | null;

  /** until then no network has to wait */
  @Column('timestamptz', { nullable: true })
  unlockedUntil!: Date | null;

  @Column('text')
  createdBy!: string;

  @CreateDateColumn({ type: 'timestamptz', default: () => 'now()' })
  createdAt!: Date;
}
