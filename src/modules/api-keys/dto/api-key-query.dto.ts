import { IsBoolean, IsOptional, IsUUID } from 'class-validator';
import { PageQueryDto } from '../../../platform/http/page-query.dto';
import { BooleanText } from '../../../platform/http/query-values';

export class ApiKeyParamsDto {
  @IsUUID()
  keyId!: string;
}

export class ListApiKeysQueryDto extends PageQueryDto {
  /** Also keys that have been revoked. */
  @IsOptional()
  @BooleanText()
  @IsBoolean()
  includeRevoked?: boolean;
}
