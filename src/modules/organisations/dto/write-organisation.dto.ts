import { IsString, Length } from 'class-validator';
import { MayBeAbsent } from '../../../platform/http/optional-fields';

export class UpdateOrganisationDto {
  /** @example Tarn Valley Patient Transport */
  @MayBeAbsent()
  @IsString()
  @Length(1, 200)
  name?: string;
}
