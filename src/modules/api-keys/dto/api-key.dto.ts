import { ApiProperty } from '@nestjs/swagger';
import { roles, type Role } from '../../../platform/security/role';
import type { ApiKey } from '../api-key.entity';

/** What is known of a key; never its secret. */
export class ApiKeyDto {
  id!: string;
  /** @example front desk, Upper Tarn */
  name!: string;
  @ApiProperty({ enum: roles })
  role!: Role;
  /** The fleets that it sees; null is every fleet. */
  @ApiProperty({ type: [String], format: 'uuid', nullable: true })
  fleetIds!: string[] | null;
  /** The workshops that it sees; null is every workshop. */
  @ApiProperty({ type: [String], format: 'uuid', nullable: true })
  workshopIds!: string[] | null;
  /** From this moment it is not accepted any more; null never expires. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  expiresAt!: string | null;
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  revokedAt!: string | null;
  createdBy!: string;
  @ApiProperty({ format: 'date-time' })
  createdAt!: string;
  revision!: number;
}

export class ApiKeyPageDto {
  items!: ApiKeyDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** A key that has just been made. */
export class NewApiKeyDto extends ApiKeyDto {
  /**
   * The key itself, shown now and never again: only a digest is stored. Null where this answer repeats an
   * earlier one (same Idempotency-Key); if that one was lost, rotate the key.
   */
  key!: string | null;
}

/** A key that takes another one's place. */
export class RotatedApiKeyDto extends NewApiKeyDto {
  replacedKeyId!: string;
  /** Until then both keys are accepted. */
  @ApiProperty({ format: 'date-time' })
  replacedKeyExpiresAt!: string;
}

export function toApiKeyDto(key: ApiKey): ApiKeyDto {
  return {
    id: key.id,
    name: key.name,
    role: key.role,
    fleetIds: key.fleetIds,
    workshopIds: key.workshopIds,
    expiresAt: key.expiresAt?.toISOString() ?? null,
    revokedAt: key.revokedAt?.toISOString() ?? null,
    createdBy: key.createdBy,
    createdAt: key.createdAt.toISOString(),
    revision: key.revision,
  };
}
