import { IsString, Length } from 'class-validator';
import { CreateBlackoutPeriodDto } from './write-blackout-period.dto';

/** A blackout period as a line of a file states it; other records are named by the operator's keys. */
export class BlackoutPeriodLine extends CreateBlackoutPeriodDto {
  @IsString()
  @Length(1, 100)
  vehicleKey!: string;
}
