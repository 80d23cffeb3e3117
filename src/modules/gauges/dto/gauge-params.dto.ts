import { IsBoolean, IsOptional, IsUUID } from 'class-validator';
import { PageQueryDto } from '../../../platform/http/page-query.dto';
import { BooleanText } from '../../../platform/http/query-values';

export class GaugeParamsDto {
  @IsUUID()
  gaugeId!: string;
}

export class ListGaugesQueryDto extends PageQueryDto {
  /** Also gauges that are no longer used. */
  @IsOptional()
  @BooleanText()
  @IsBoolean()
  includeRetired?: boolean;
}
