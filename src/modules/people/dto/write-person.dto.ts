import { ApiProperty, IntersectionType } from '@nestjs/swagger';
import { IsIn, IsString, IsUUID, Length } from 'class-validator';
import { IsMailAddress } from '../../../platform/http/is-mail-address';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';
import { AccessLimitsDto } from '../../../platform/security/access-limits.dto';
import { roles, type Role } from '../../../platform/security/role';
import { WritePreferencesDto } from './preferences.dto';

export class InvitePersonDto extends IntersectionType(AccessLimitsDto, WritePreferencesDto) {
  /** As it appears in the audit trail. @example Wren */
  @IsString()
  @Length(1, 100)
  name!: string;

  /** What they sign in with. Nothing is sent there. */
  @IsMailAddress()
  email!: string;

  @IsIn(roles)
  @ApiProperty({ enum: roles })
  role!: Role;

  /** The technician of a workshop that this person is. */
  @MayBeNull()
  @IsUUID()
  @ApiProperty({ required: false, type: String, format: 'uuid', nullable: true })
  technicianId?: string | null;
}

export class UpdatePersonDto extends AccessLimitsDto {
  /** @example Wren */
  @MayBeAbsent()
  @IsString()
  @Length(1, 100)
  name?: string;

  @MayBeAbsent()
  @IsIn(roles)
  @ApiProperty({ required: false, enum: roles })
  role?: Role;

  /** The technician of a workshop that this person is. */
  @MayBeNull()
  @IsUUID()
  @ApiProperty({ required: false, type: String, format: 'uuid', nullable: true })
  technicianId?: string | null;

  /** `disabled` ends invitation and sessions at once; `active` lets in again whoever has a password. */
  @MayBeAbsent()
  @IsIn(['active', 'disabled'])
  @ApiProperty({ required: false, enum: ['active', 'disabled'] })
  state?: 'active' | 'disabled';
}
