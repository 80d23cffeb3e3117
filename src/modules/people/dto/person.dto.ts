import { ApiProperty } from '@nestjs/swagger';
import { roles, type Role } from '../../../platform/security/role';
import {
  distanceUnits,
  pressureUnits,
  type DistanceUnit,
  type PressureUnit,
} from '../../../platform/units/shown-units';
import { personStates, type Person, type PersonState } from '../person.entity';

/** Somebody who signs in; never their password. */
export class PersonDto {
  id!: string;
  /** @example Wren */
  name!: string;
  /** @example wren@tarn-valley.example */
  email!: string;
  @ApiProperty({ enum: roles })
  role!: Role;
  /** The fleets that they see; null is every fleet. */
  @ApiProperty({ type: [String], format: 'uuid', nullable: true })
  fleetIds!: string[] | null;
  /** The workshops that they see; null is every workshop. */
  @ApiProperty({ type: [String], format: 'uuid', nullable: true })
  workshopIds!: string[] | null;
  /** The technician of a workshop that this person is. */
  @ApiProperty({ type: String, format: 'uuid', nullable: true })
  technicianId!: string | null;
  /** Language that they read (BCP 47); null is the browser's. */
  locale!: string | null;
  /** In what they read distances; null is the organisation's. */
  @ApiProperty({ type: String, enum: distanceUnits, nullable: true })
  distanceUnit!: DistanceUnit | null;
  /** In what they read pressures; null is the organisation's. */
  @ApiProperty({ type: String, enum: pressureUnits, nullable: true })
  pressureUnit!: PressureUnit | null;
  @ApiProperty({ enum: personStates })
  state!: PersonState;
  @ApiProperty({ format: 'date-time' })
  invitedAt!: string;
  /** Names the invitation that is open, and opens nothing; null where none is. */
  @ApiProperty({ type: String, format: 'uuid', nullable: true })
  invitationId!: string | null;
  /** Until then the invitation can be accepted; null where none is open. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  invitationExpiresAt!: string | null;
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  lastSignedInAt!: string | null;
  createdBy!: string;
  @ApiProperty({ format: 'date-time' })
  createdAt!: string;
  revision!: number;
}

export class PersonPageDto {
  items!: PersonDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** Somebody who has just been invited. */
export class PersonWithInvitationDto extends PersonDto {
  /**
   * What they set their password with, shown now and never again: only a digest is stored. Null where this answer repeats
   * an earlier one (same Idempotency-Key); if that one was lost, invite them anew.
   */
  invitation!: string | null;
}

export function toPersonDto(person: Person): PersonDto {
  return {
    id: person.id,
    name: person.name,
    email: person.email,
    role: person.role,
    fleetIds: person.fleetIds,
    workshopIds: person.workshopIds,
    technicianId: person.technicianId,
    locale: person.locale,
    distanceUnit: person.distanceUnit,
    pressureUnit: person.pressureUnit,
    state: person.state,
    invitedAt: person.invitedAt.toISOString(),
    invitationId: person.invitationId,
    invitationExpiresAt: person.invitationExpiresAt?.toISOString() ?? null,
    lastSignedInAt: person.lastSignedInAt?.toISOString() ?? null,
    createdBy: person.createdBy,
    createdAt: person.createdAt.toISOString(),
    revision: person.revision,
  };
}
