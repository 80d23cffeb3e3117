import { OmitType } from '@nestjs/swagger';
import { IsString, Length } from 'class-validator';
import { CreateBookingDto } from './write-booking.dto';

/** A booking as a line of a file states it; other records are named by the operator's keys. */
export class BookingLine extends OmitType(CreateBookingDto, [
  'externalKey',
  'vehicleId',
  'workshopId',
  'holdMinutes',
]) {
  @IsString()
  @Length(1, 100)
  externalKey!: string;

  @IsString()
  @Length(1, 100)
  vehicleKey!: string;

  @IsString()
  @Length(1, 100)
  workshopKey!: string;
}
