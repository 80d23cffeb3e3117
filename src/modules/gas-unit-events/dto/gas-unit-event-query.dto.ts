import { ApiProperty } from '@nestjs/swagger';
import { IsBoolean, IsIn, IsOptional, IsUUID } from 'class-validator';
import {
  PRECHARGE_OBSERVATION_KINDS,
  type PrechargeObservationKind,
} from '../../../core/precharge/precharge-model';
import { PageQueryDto } from '../../../platform/http/page-query.dto';
import { BooleanText } from '../../../platform/http/query-values';

export class MeasuredUnitParamsDto {
  @IsUUID()
  gasUnitId!: string;
}

export class GasUnitEventParamsDto {
  @IsUUID()
  eventId!: string;
}

export class ListGasUnitEventsQueryDto extends PageQueryDto {
  /** Only precharge tests, or only charges. */
  @IsOptional()
  @IsIn(PRECHARGE_OBSERVATION_KINDS)
  @ApiProperty({ required: false, enum: PRECHARGE_OBSERVATION_KINDS })
  kind?: PrechargeObservationKind;

  /** Also events that were recorded by mistake and count no more. */
  @IsOptional()
  @BooleanText()
  @IsBoolean()
  includeVoided?: boolean;
}
