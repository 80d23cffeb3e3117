import { Controller, Get, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody } from '../../platform/security/role';
import { DemandService } from './demand.service';
import { DemandQueryDto } from './dto/demand-query.dto';
import { DemandDto } from './dto/demand.dto';

@ApiTags('demand')
@Controller('v1/demand')
export class DemandController {
  constructor(private readonly demand: DemandService) {}

  /** Tells how much work, labour and material the coming months will ask for, each with a 90 % band. */
  @Get()
  @Allow(everybody)
  expected(@Context() context: RequestContext, @Query() query: DemandQueryDto): Promise<DemandDto> {
    return this.demand.expected(context, query);
  }
}
