import { ApiProperty } from '@nestjs/swagger';
import { IsIn, IsOptional, IsUUID } from 'class-validator';
import { BOOKING_STATES, type BookingState } from '../../../core/booking/booking-state';
import { IsInstant } from '../../../platform/http/is-instant';
import { PageQueryDto } from '../../../platform/http/page-query.dto';

export class BookingParamsDto {
  @IsUUID()
  bookingId!: string;
}

export class BookingWorkshopParamsDto {
  @IsUUID()
  workshopId!: string;
}

export class ListBookingsQueryDto extends PageQueryDto {
  @IsOptional()
  @IsUUID()
  workshopId?: string;

  @IsOptional()
  @IsUUID()
  vehicleId?: string;

  @IsOptional()
  @IsUUID()
  fleetId?: string;

  @IsOptional()
  @IsUUID()
  bayId?: string;

  @IsOptional()
  @IsUUID()
  technicianId?: string;

  @IsOptional()
  @IsIn(BOOKING_STATES)
  @ApiProperty({ enum: BOOKING_STATES })
  state?: BookingState;

  /** Only bookings that end after this moment. */
  @IsOptional()
  @IsInstant()
  @ApiProperty({ format: 'date-time', maxLength: 40 })
  fromAt?: string;

  /** Only bookings that start before this moment. */
  @IsOptional()
  @IsInstant()
  @ApiProperty({ format: 'date-time', maxLength: 40 })
  untilAt?: string;
}
