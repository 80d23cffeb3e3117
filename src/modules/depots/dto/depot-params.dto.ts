import { IsOptional, IsUUID } from 'class-validator';
import { PageQueryDto } from '../../../platform/http/page-query.dto';

export class DepotParamsDto {
  @IsUUID()
  depotId!: string;
}

export class ListDepotsQueryDto extends PageQueryDto {
  /** Only depots of this fleet. */
  @IsOptional()
  @IsUUID()
  fleetId?: string;
}
