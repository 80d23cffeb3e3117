import { IsString, IsUUID, Length } from 'class-validator';
import { IsIanaTimeZone } from '../../../platform/http/is-time-zone';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';

export class CreateDepotDto {
  @IsUUID()
  fleetId!: string;

  /** The operator's own key, unique in the organisation. */
  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;

  @IsString()
  @Length(1, 200)
  name!: string;

  /** @example Europe/London */
  @IsIanaTimeZone()
  zone!: string;
}

export class UpdateDepotDto {
  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;

  @MayBeAbsent()
  @IsString()
  @Length(1, 200)
  name?: string;

  @MayBeAbsent()
  @IsIanaTimeZone()
  zone?: string;
}
