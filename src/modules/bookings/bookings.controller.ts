import { Body, Controller, Get, HttpCode, Param, Patch, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, recorders, workshopAndRecorders } from '../../platform/security/role';
import { BookingChangesService } from './booking-changes.service';
import { BookingStepsService } from './booking-steps.service';
import { BookingsService } from './bookings.service';
import { BookingParamsDto, ListBookingsQueryDto } from './dto/booking-params.dto';
import { BookingDto, BookingPageDto } from './dto/booking.dto';
import {
  BookingMomentDto,
  CancelBookingDto,
  CollectBookingDto,
  CreateBookingDto,
  UpdateBookingDto,
} from './dto/write-booking.dto';

@ApiTags('bookings')
@Controller('v1/bookings')
export class BookingsController {
  constructor(
    private readonly bookings: BookingsService,
    private readonly changes: BookingChangesService,
    private readonly steps: BookingStepsService,
  ) {}

  /** Lists bookings in order of start: a workshop's diary, or a vehicle's. */
  @Get()
  @Allow(everybody)
  list(@Context() context: RequestContext, @Query() query: ListBookingsQueryDto): Promise<BookingPageDto> {
    return this.bookings.list(context, query);
  }

  /**
   * Books work into a workshop, or holds the time for a caller. Where the time is taken, the answer is 409 with the
   * reason and the next free times.
   */
  @Post()
  @Allow(recorders)
  create(@Context() context: RequestContext, @Body() body: CreateBookingDto): Promise<BookingDto> {
    return this.bookings.create(context, body);
  }

  /** Reads one booking. */
  @Get(':bookingId')
  @Allow(everybody)
  get(@Context() context: RequestContext, @Param() { bookingId }: BookingParamsDto): Promise<BookingDto> {
    return this.bookings.get(context, bookingId);
  }

  /** Moves a booking, changes its length or work, or gives it to another bay or other people. */
  @Patch(':bookingId')
  @Allow(recorders)
  update(
    @Context() context: RequestContext,
    @Param() { bookingId }: BookingParamsDto,
    @IfMatch() revision: number,
    @Body() body: UpdateBookingDto,
  ): Promise<BookingDto> {
    return this.changes.update(context, bookingId, revision, body);
  }

  /** Makes a provisional booking firm, while its time is still held. */
  @Post(':bookingId/confirmation')
  @HttpCode(200)
  @Allow(recorders)
  confirm(
    @Context() context: RequestContext,
    @Param() { bookingId }: BookingParamsDto,
    @IfMatch() revision: number,
  ): Promise<BookingDto> {
    return this.steps.confirm(context, bookingId, revision);
  }

  /** The vehicle has arrived at the workshop: its down time begins. */
  @Post(':bookingId/arrival')
  @HttpCode(200)
  @Allow(workshopAndRecorders)
  arrive(
    @Context() context: RequestContext,
    @Param() { bookingId }: BookingParamsDto,
    @IfMatch() revision: number,
    @Body() body: BookingMomentDto,
  ): Promise<BookingDto> {
    return this.steps.arrive(context, bookingId, revision, body);
  }

  /** Work on the vehicle begins. It ends with the completion of the job sheet. */
  @Post(':bookingId/work-start')
  @HttpCode(200)
  @Allow(workshopAndRecorders)
  start(
    @Context() context: RequestContext,
    @Param() { bookingId }: BookingParamsDto,
    @IfMatch() revision: number,
    @Body() body: BookingMomentDto,
  ): Promise<BookingDto> {
    return this.steps.start(context, bookingId, revision, body);
  }

  /** The vehicle leaves the workshop. One that is on hold does not go to the road. */
  @Post(':bookingId/collection')
  @HttpCode(200)
  @Allow(workshopAndRecorders)
  collect(
    @Context() context: RequestContext,
    @Param() { bookingId }: BookingParamsDto,
    @IfMatch() revision: number,
    @Body() body: CollectBookingDto,
  ): Promise<BookingDto> {
    return this.steps.collect(context, bookingId, revision, body);
  }

  /** Cancels a booking; its time is free at once. */
  @Post(':bookingId/cancellation')
  @HttpCode(200)
  @Allow(recorders)
  cancel(
    @Context() context: RequestContext,
    @Param() { bookingId }: BookingParamsDto,
    @IfMatch() revision: number,
    @Body() body: CancelBookingDto,
  ): Promise<BookingDto> {
    return this.steps.cancel(context, bookingId, revision, body);
  }

  /** The vehicle did not come. */
  @Post(':bookingId/no-show')
  @HttpCode(200)
  @Allow(workshopAndRecorders)
  miss(
    @Context() context: RequestContext,
    @Param() { bookingId }: BookingParamsDto,
    @IfMatch() revision: number,
  ): Promise<BookingDto> {
    return this.steps.miss(context, bookingId, revision);
  }
}
