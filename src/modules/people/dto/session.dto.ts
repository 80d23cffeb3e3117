import { ApiProperty } from '@nestjs/swagger';
import { roles, type Role } from '../../../platform/security/role';
import { scopes, scopesOf, type Scope } from '../../../platform/security/scope';
import {
  distanceUnits,
  pressureUnits,
  type DistanceUnit,
  type PressureUnit,
} from '../../../platform/units/shown-units';
import type { SessionRow } from '../sessions.repository';

/** Whoever has signed in. */
export class SignedInPersonDto {
  @ApiProperty({ format: 'uuid' })
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
  /** In what they read distances: their own preference, or else the organisation's. */
  @ApiProperty({ enum: distanceUnits })
  distanceUnit!: DistanceUnit;
  /** In what they read pressures: their own preference, or else the organisation's. */
  @ApiProperty({ enum: pressureUnits })
  pressureUnit!: PressureUnit;
}

/** What a person has chosen. */
export class PreferencesDto {
  locale!: string | null;
  /** Null is the organisation's. */
  @ApiProperty({ type: String, enum: distanceUnits, nullable: true })
  distanceUnit!: DistanceUnit | null;
  /** Null is the organisation's. */
  @ApiProperty({ type: String, enum: pressureUnits, nullable: true })
  pressureUnit!: PressureUnit | null;
}

/** The organisation that somebody has signed in to. */
export class SignedInOrganisationDto {
  @ApiProperty({ format: 'uuid' })
  id!: string;
  /** @example Tarn Valley Patient Transport */
  name!: string;
  @ApiProperty({ enum: distanceUnits })
  distanceUnit!: DistanceUnit;
  @ApiProperty({ enum: pressureUnits })
  pressureUnit!: PressureUnit;
}

export class SessionDto {
  person!: SignedInPersonDto;
  preferences!: PreferencesDto;
  organisation!: SignedInOrganisationDto;
  @ApiProperty({ enum: scopes, isArray: true })
  scopes!: Scope[];
  /** When it ends if it is not used any more; every use puts that off. */
  @ApiProperty({ format: 'date-time' })
  expiresAt!: string;
  /** When it ends however much it is used. */
  @ApiProperty({ format: 'date-time' })
  latestExpiresAt!: string;
}

export function toSessionDto(row: SessionRow): SessionDto {
  const { id, name, email, role, fleetIds, workshopIds, technicianId, locale } = row;
  const { distanceUnit, pressureUnit, idleEndsAt, endsAt, organisation } = row;
  const expiresAt = idleEndsAt < endsAt ? idleEndsAt : endsAt;
  return {
    person: {
      ...{ id, name, email, role, fleetIds, workshopIds, technicianId, locale },
      distanceUnit: distanceUnit ?? organisation.distanceUnit,
      pressureUnit: pressureUnit ?? organisation.pressureUnit,
    },
    preferences: { locale, distanceUnit, pressureUnit },
    organisation,
    scopes: [...scopesOf(role)],
    expiresAt: expiresAt.toISOString(),
    latestExpiresAt: endsAt.toISOString(),
  };
}
