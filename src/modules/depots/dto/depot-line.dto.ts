import { OmitType } from '@nestjs/swagger';
import { IsString, Length } from 'class-validator';
import { CreateDepotDto } from './write-depot.dto';

/** A depot as a line of a file states it; other records are named by the operator's keys. */
export class DepotLine extends OmitType(CreateDepotDto, ['externalKey', 'fleetId']) {
  @IsString()
  @Length(1, 100)
  externalKey!: string;

  @IsString()
  @Length(1, 100)
  fleetKey!: string;
}
