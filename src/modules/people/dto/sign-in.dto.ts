import { ApiProperty } from '@nestjs/swagger';
import { IsString, IsUUID, Length } from 'class-validator';
import { IsMailAddress } from '../../../platform/http/is-mail-address';
import { MayBeAbsent } from '../../../platform/http/optional-fields';
import { LONGEST_PASSWORD, SHORTEST_PASSWORD } from '../../../platform/security/password-rules';

export class SignInDto {
  @IsMailAddress()
  email!: string;

  @IsString()
  @Length(1, LONGEST_PASSWORD)
  password!: string;

  /** Which organisation, where address and password fit several. */
  @MayBeAbsent()
  @IsUUID()
  @ApiProperty({ required: false, format: 'uuid' })
  organisationId?: string;
}

export class AcceptInvitationDto {
  @IsString()
  @Length(1, 90)
  invitation!: string;

  /** What they sign in with from now on: any characters, no rules of composition. */
  @IsString()
  @Length(SHORTEST_PASSWORD, LONGEST_PASSWORD)
  password!: string;
}

export class ChangePasswordDto {
  @IsString()
  @Length(1, LONGEST_PASSWORD)
  currentPassword!: string;

  /** Any characters, no rules of composition. */
  @IsString()
  @Length(SHORTEST_PASSWORD, LONGEST_PASSWORD)
  newPassword!: string;
}
