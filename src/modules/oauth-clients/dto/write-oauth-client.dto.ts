import { ApiProperty } from '@nestjs/swagger';
import {
  ArrayMaxSize,
  ArrayMinSize,
  ArrayUnique,
  IsArray,
  IsIn,
  IsInt,
  IsString,
  Length,
  Max,
  Min,
} from 'class-validator';
import { MayBeAbsent } from '../../../platform/http/optional-fields';
import { AccessLimitsDto } from '../../../platform/security/access-limits.dto';
import { roles, type Role } from '../../../platform/security/role';
import { scopes, type Scope } from '../../../platform/security/scope';

export class CreateOAuthClientDto extends AccessLimitsDto {
  /** What uses it, as it appears in the audit trail. @example dealer system, night run */
  @IsString()
  @Length(1, 100)
  name!: string;

  @IsIn(roles)
  @ApiProperty({ enum: roles })
  role!: Role;

  /** What its tokens can be asked for; absent is all that the role has. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(scopes.length)
  @ArrayUnique()
  @IsIn(scopes, { each: true })
  @ApiProperty({ required: false, enum: scopes, isArray: true, minItems: 1, maxItems: scopes.length })
  scopes?: Scope[];
}

export class RotateOAuthClientDto {
  /** For so long the old secret is accepted beside the new one. */
  @MayBeAbsent()
  @IsInt()
  @Min(0)
  @Max(168)
  @ApiProperty({ required: false, type: 'integer', minimum: 0, maximum: 168, default: 24 })
  overlapHours?: number;
}
