import { ApiProperty } from '@nestjs/swagger';
import { IsBoolean, IsIn, IsOptional, IsUUID } from 'class-validator';
import { PageQueryDto } from '../../../platform/http/page-query.dto';
import { BooleanText } from '../../../platform/http/query-values';
import { SYSTEM_TEST_TASKS, type SystemTestTask } from '../../../core/tests/system-test';

export class TestedVehicleParamsDto {
  @IsUUID()
  vehicleId!: string;
}

export class SystemTestParamsDto {
  @IsUUID()
  systemTestId!: string;
}

export class ListSystemTestsQueryDto extends PageQueryDto {
  /** Only tests of this kind. */
  @IsOptional()
  @IsIn(SYSTEM_TEST_TASKS)
  @ApiProperty({ required: false, enum: SYSTEM_TEST_TASKS })
  task?: SystemTestTask;

  /** Also tests that were recorded by mistake and count no more. */
  @IsOptional()
  @BooleanText()
  @IsBoolean()
  includeVoided?: boolean;
}
