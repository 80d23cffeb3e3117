import { Body, Controller, HttpCode, Post } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody } from '../../platform/security/role';
import { FindFreeTimesDto, FreeTimesDto } from './dto/free-times.dto';
import { FreeTimesService } from './free-times.service';

@ApiTags('bookings')
@Controller('v1/free-times')
export class FreeTimesController {
  constructor(private readonly freeTimes: FreeTimesService) {}

  /**
   * Finds the first times at which a bay and people with the right competences are free for a vehicle's work; where
   * there is none, what is in the way and the first date on which it would fit. Stores nothing.
   */
  @Post()
  @HttpCode(200)
  @Allow(everybody, 'read')
  search(@Context() context: RequestContext, @Body() body: FindFreeTimesDto): Promise<FreeTimesDto> {
    return this.freeTimes.search(context, body);
  }
}
