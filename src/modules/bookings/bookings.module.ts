import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DueItemsModule } from '../due-items/due-items.module';
import { WorkshopsModule } from '../workshops/workshops.module';
import { BookingAllocation } from './booking-allocation.entity';
import { BookingAllocationsRepository } from './booking-allocations.repository';
import { BookingChangesService } from './booking-changes.service';
import { BookingConflictsController } from './booking-conflicts.controller';
import { BookingConflictsService } from './booking-conflicts.service';
import { BookingImportsService } from './booking-imports.service';
import { BookingPlacerService } from './booking-placer.service';
import { BookingStepsService } from './booking-steps.service';
import { Booking } from './booking.entity';
import { BookingsController } from './bookings.controller';
import { BookingsRepository } from './bookings.repository';
import { BookingsService } from './bookings.service';
import { FreeTimesController } from './free-times.controller';
import { FreeTimesService } from './free-times.service';
import { VisitBookingService } from './visit-booking.service';

@Module({
  imports: [TypeOrmModule.forFeature([Booking, BookingAllocation]), WorkshopsModule, DueItemsModule],
  controllers: [BookingsController, FreeTimesController, BookingConflictsController],
  providers: [
    BookingsService,
    BookingChangesService,
    BookingImportsService,
    BookingStepsService,
    BookingPlacerService,
    BookingConflictsService,
    FreeTimesService,
    VisitBookingService,
    BookingsRepository,
    BookingAllocationsRepository,
  ],
  exports: [BookingImportsService, BookingsService, BookingStepsService, VisitBookingService],
})
export class BookingsModule {}
