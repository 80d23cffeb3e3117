import { IsUUID } from 'class-validator';

export class GasUnitTypeParamsDto {
  @IsUUID()
  gasUnitTypeId!: string;
}
