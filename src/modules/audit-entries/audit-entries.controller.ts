import { Controller, Get, Param, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { planners } from '../../platform/security/role';
import { AuditEntriesService } from './audit-entries.service';
import { AuditEntryParamsDto, ListAuditEntriesQueryDto } from './dto/audit-entry-params.dto';
import { AuditEntryDto, AuditEntryPageDto } from './dto/audit-entry.dto';

@ApiTags('audit trail')
@Controller('v1/audit-entries')
export class AuditEntriesController {
  constructor(private readonly entries: AuditEntriesService) {}

  /**
   * Lists who did what, newest first. Fleet planners, and keys that are limited to some fleets, see what is about the
   * vehicles that they see.
   */
  @Get()
  @Allow(planners)
  list(
    @Context() context: RequestContext,
    @Query() query: ListAuditEntriesQueryDto,
  ): Promise<AuditEntryPageDto> {
    return this.entries.list(context, query);
  }

  /** Reads one entry of the audit trail. */
  @Get(':auditEntryId')
  @Allow(planners)
  get(
    @Context() context: RequestContext,
    @Param() { auditEntryId }: AuditEntryParamsDto,
  ): Promise<AuditEntryDto> {
    return this.entries.get(context, auditEntryId);
  }
}
