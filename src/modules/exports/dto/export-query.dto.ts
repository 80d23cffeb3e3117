import { IsOptional, IsUUID } from 'class-validator';
import { PageQueryDto } from '../../../platform/http/page-query.dto';

export class ListExportQueryDto extends PageQueryDto {
  /** Only records of this fleet. */
  @IsOptional()
  @IsUUID()
  fleetId?: string;
}
