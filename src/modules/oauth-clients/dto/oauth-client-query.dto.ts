import { IsBoolean, IsOptional, IsUUID } from 'class-validator';
import { PageQueryDto } from '../../../platform/http/page-query.dto';
import { BooleanText } from '../../../platform/http/query-values';

export class OAuthClientParamsDto {
  @IsUUID()
  oauthClientId!: string;
}

export class ListOAuthClientsQueryDto extends PageQueryDto {
  /** Also clients that have been revoked. */
  @IsOptional()
  @BooleanText()
  @IsBoolean()
  includeRevoked?: boolean;
}
