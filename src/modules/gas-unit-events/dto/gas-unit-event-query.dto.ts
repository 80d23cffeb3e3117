import { ApiProperty } from '@nestjs/swagger';
import { IsBoolean, IsIn, IsOptional, IsUUID } from 'class-validator';
import { PageQueryDto } from '../../../platform/http/page-query.dto';
import { BooleanText } from '../../../platform/http/query-values';
import { gasUnitEventKinds, type GasUnitEventKind } from '../gas-unit-event.entity';

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
  @IsIn(gasUnitEventKinds)
  @ApiProperty({ required: false, enum: gasUnitEventKinds })
  kind?: GasUnitEventKind;

  /** Also events that were recorded by mistake and count no more. */
  @IsOptional()
  @BooleanText()
  @IsBoolean()
  includeVoided?: boolean;
}
