import { BookingDto } from './booking.dto';

/** A booking that stands and could not be made any more. */
export class BookingConflictDto {
  booking!: BookingDto;
  /** What is in the way, in words. */
  because!: string[];
}

export class BookingConflictsDto {
  workshopId!: string;
  items!: BookingConflictDto[];
}
