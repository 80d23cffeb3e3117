import { IsString, Length } from 'class-validator';
import { ReplaceRosterDto } from './write-roster.dto';

/** What a depot needs as a line of a file states it; other records are named by the operator's keys. */
export class RosterLine extends ReplaceRosterDto {
  @IsString()
  @Length(1, 100)
  depotKey!: string;
}
