import { ApiProperty } from '@nestjs/swagger';
import { formatClientId } from '../../../platform/security/oauth-client-id';
import { roles, type Role } from '../../../platform/security/role';
import { scopes, type Scope } from '../../../platform/security/scope';
import type { OAuthClient } from '../oauth-client.entity';

/** What is known of a client; never its secret. */
export class OAuthClientDto {
  id!: string;
  /** What the client signs in as, `client_id` of RFC 6749. No secret. */
  clientId!: string;
  /** @example dealer system, night run */
  name!: string;
  @ApiProperty({ enum: roles })
  role!: Role;
  /** What its tokens can be asked for. */
  @ApiProperty({ enum: scopes, isArray: true })
  scopes!: Scope[];
  /** The fleets that it sees; null is every fleet. */
  @ApiProperty({ type: [String], format: 'uuid', nullable: true })
  fleetIds!: string[] | null;
  /** The workshops that it sees; null is every workshop. */
  @ApiProperty({ type: [String], format: 'uuid', nullable: true })
  workshopIds!: string[] | null;
  /** Names the secret that the client has now, so that the audit trail can tell one from another. */
  @ApiProperty({ format: 'uuid' })
  secretId!: string;
  @ApiProperty({ format: 'date-time' })
  secretMadeAt!: string;
  /** Until then the secret before the last rotation is accepted as well; null where there was none. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  previousSecretEndsAt!: string | null;
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  revokedAt!: string | null;
  createdBy!: string;
  @ApiProperty({ format: 'date-time' })
  createdAt!: string;
  revision!: number;
}

export class OAuthClientPageDto {
  items!: OAuthClientDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** A client with a secret that has just been made. */
export class OAuthClientWithSecretDto extends OAuthClientDto {
  /**
   * The secret itself, `client_secret` of RFC 6749, shown now and never again: only a digest is stored. Null
   * where this answer repeats an earlier one (same Idempotency-Key); if that one was lost, rotate the secret.
   */
  clientSecret!: string | null;
}

export function toOAuthClientDto(client: OAuthClient): OAuthClientDto {
  return {
    id: client.id,
    clientId: formatClientId(client.organisationId, client.id),
    name: client.name,
    role: client.role,
    scopes: client.scopes,
    fleetIds: client.fleetIds,
    workshopIds: client.workshopIds,
    secretId: client.secretId,
    secretMadeAt: client.secretMadeAt.toISOString(),
    previousSecretEndsAt: client.previousSecretEndsAt?.toISOString() ?? null,
    revokedAt: client.revokedAt?.toISOString() ?? null,
    createdBy: client.createdBy,
    createdAt: client.createdAt.toISOString(),
    revision: client.revision,
  };
}
