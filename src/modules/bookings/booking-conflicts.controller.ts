import { Controller, Get, Param } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody } from '../../platform/security/role';
import { BookingConflictsService } from './booking-conflicts.service';
import { BookingConflictsDto } from './dto/booking-conflicts.dto';
import { BookingWorkshopParamsDto } from './dto/booking-params.dto';

@ApiTags('bookings')
@Controller('v1/workshops')
export class BookingConflictsController {
  constructor(private readonly conflicts: BookingConflictsService) {}

  /**
   * Lists bookings to come that could not be made any more: since they were booked the hours have changed, a bay was
   * closed, somebody will be absent, or a competence ends before. They stand until somebody moves them.
   */
  @Get(':workshopId/booking-conflicts')
  @Allow(everybody)
  ofWorkshop(
    @Context() context: RequestContext,
    @Param() { workshopId }: BookingWorkshopParamsDto,
  ): Promise<BookingConflictsDto> {
    return this.conflicts.ofWorkshop(context, workshopId);
  }
}
