import { IsBoolean, IsOptional, IsUUID } from 'class-validator';
import { IsCode } from '../../../platform/http/is-code';
import { PageQueryDto } from '../../../platform/http/page-query.dto';
import { BooleanText } from '../../../platform/http/query-values';

export class CompletionVehicleParamsDto {
  @IsUUID()
  vehicleId!: string;
}

export class TaskCompletionParamsDto {
  @IsUUID()
  completionId!: string;
}

export class ListTaskCompletionsQueryDto extends PageQueryDto {
  /** Only completions of this task. */
  @IsOptional()
  @IsCode()
  task?: string;

  /** Also completions that were recorded by mistake and count no more. */
  @IsOptional()
  @BooleanText()
  @IsBoolean()
  includeVoided?: boolean;
}
