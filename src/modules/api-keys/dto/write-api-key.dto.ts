import { ApiProperty } from '@nestjs/swagger';
import {
  ArrayMaxSize,
  ArrayMinSize,
  ArrayUnique,
  IsArray,
  IsIn,
  IsInt,
  IsString,
  IsUUID,
  Length,
  Max,
  Min,
} from 'class-validator';
import { IsInstant } from '../../../platform/http/is-instant';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';
import { roles, type Role } from '../../../platform/security/role';

export class CreateApiKeyDto {
  /** Who or what uses it, as it appears in the audit trail. @example front desk, Upper Tarn */
  @IsString()
  @Length(1, 100)
  name!: string;

  @IsIn(roles)
  @ApiProperty({ enum: roles })
  role!: Role;

  /** Limits it to these fleets; null or absent sees every fleet. */
  @MayBeNull()
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(200)
  @ArrayUnique()
  @IsUUID(undefined, { each: true })
  @ApiProperty({ required: false, type: [String], format: 'uuid', nullable: true, maxItems: 200 })
  fleetIds?: string[] | null;

  /** Limits it to these workshops; null or absent sees every workshop. */
  @MayBeNull()
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(200)
  @ArrayUnique()
  @IsUUID(undefined, { each: true })
  @ApiProperty({ required: false, type: [String], format: 'uuid', nullable: true, maxItems: 200 })
  workshopIds?: string[] | null;

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
