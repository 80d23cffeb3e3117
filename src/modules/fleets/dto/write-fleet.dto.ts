import { IsString, IsUUID, Length } from 'class-validator';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';

export class CreateFleetDto {
  /** The operator's own key, unique in the organisation. */
  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;

  @IsString()
  @Length(1, 200)
  name!: string;

  /** Null or absent follows the organisation's default programme. */
  @MayBeNull()
  @IsUUID()
  serviceProgrammeId?: string | null;
}

export class UpdateFleetDto {
  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;

  @MayBeAbsent()
  @IsString()
  @Length(1, 200)
  name?: string;

  @MayBeNull()
  @IsUUID()
  serviceProgrammeId?: string | null;
}
