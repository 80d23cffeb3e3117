import { IsOptional, IsUUID } from 'class-validator';
import { PageQueryDto } from '../../../platform/http/page-query.dto';

export class ListUsageModelsQueryDto extends PageQueryDto {
  /** Only models of this fleet. */
  @IsOptional()
  @IsUUID()
  fleetId?: string;
}

export class RefitUsageModelsDto {
  /** The fleet whose own history the models are fitted to. */
  @IsUUID()
  fleetId!: string;
}
