import { Body, Controller, Get, HttpCode, Post } from '@nestjs/common';
import { ApiExtension, ApiTags } from '@nestjs/swagger';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { administrators } from '../../platform/security/role';
import { AuditSealsService } from './audit-seals.service';
import { AuditCheckDto, CheckAuditTrailDto } from './dto/audit-check.dto';
import { AuditHeadDto } from './dto/audit-head.dto';

@ApiTags('audit trail')
@Controller('v1')
export class AuditSealsController {
  constructor(private readonly seals: AuditSealsService) {}

  /** Reads where the chain of the audit trail ends. Keep it where nobody who can write the database can. */
  @Get('audit-head')
  @Allow(administrators)
  getHead(@Context() context: RequestContext): Promise<AuditHeadDto> {
    return this.seals.getHead(context);
  }

  /**
   * Computes the chain again from the entries and names the first that is not what it was. At most 5,000 entries at a
   * time: while the answer is not `complete`, ask again with its `checkedUpTo` as `after`. Nothing is stored.
   */
  @Post('audit-checks')
  @HttpCode(200)
  @Allow(administrators, 'read')
  @ApiExtension('x-ignores-idempotency-key', true)
  check(@Context() context: RequestContext, @Body() body: CheckAuditTrailDto): Promise<AuditCheckDto> {
    return this.seals.check(context, body);
  }
}
