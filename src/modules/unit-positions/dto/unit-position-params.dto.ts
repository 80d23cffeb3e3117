import { IsUUID } from 'class-validator';

export class UnitPositionParamsDto {
  @IsUUID()
  unitPositionId!: string;
}
