import { OmitType } from '@nestjs/swagger';
import { IsString, Length } from 'class-validator';
import { CreateFleetDto } from './write-fleet.dto';

/** A fleet as a line of a file states it; other records are named by the operator's keys. */
export class FleetLine extends OmitType(CreateFleetDto, ['externalKey']) {
  @IsString()
  @Length(1, 100)
  externalKey!: string;
}
