import { IsUUID } from 'class-validator';

export class RosterParamsDto {
  @IsUUID()
  depotId!: string;
}
