import { IsUUID } from 'class-validator';

export class WorkshopReachParamsDto {
  @IsUUID()
  depotId!: string;
}
