import { ApiProperty } from '@nestjs/swagger';
import { IsIn, IsInt, IsString, Length, Max, Min } from 'class-validator';
import { IsInstant } from '../../../platform/http/is-instant';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';
import { AccessLimitsDto } from '../../../platform/security/access-limits.dto';
import { roles, type Role } from '../../../platform/security/role';

export class CreateApiKeyDto extends AccessLimitsDto {
  /** Who or what uses it, as it appears in the audit trail. @example front desk, Upper Tarn */
  @IsString()
  @Length(1, 100)
  name!: string;

  @IsIn(roles)
  @ApiProperty({ enum: roles })
  role!: Role;

  /** From this moment it is not accepted any more; null or absent never expires. */
  @MayBeNull()
  @IsInstant()
  @ApiProperty({ required: false, format: 'date-time', nullable: true, type: String })
  expiresAt?: string | null;
}

export class RotateApiKeyDto {
  /** For so long the old key is accepted beside the new one. */
  @MayBeAbsent()
  @IsInt()
  @Min(0)
  @Max(168)
  @ApiProperty({ required: false, type: 'integer', minimum: 0, maximum: 168, default: 24 })
  overlapHours?: number;
}
