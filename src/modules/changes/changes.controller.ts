import { Controller, Get, Header, Query, Res } from '@nestjs/common';
import { ApiGoneResponse, ApiTags } from '@nestjs/swagger';
import type { FastifyReply } from 'fastify';
import { NotExported } from '../../platform/exports/not-exported';
import { NextBy } from '../../platform/http/next-link';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody } from '../../platform/security/role';
import { ChangesService } from './changes.service';
import { ChangePageDto } from './dto/change.dto';
import { ReadChangesQueryDto } from './dto/change-query.dto';

@ApiTags('changes')
@Controller('v1/changes')
export class ChangesController {
  constructor(private readonly changes: ChangesService) {}

  /**
   * Tells what changed, each change as an event of CloudEvents 1.0.
   *
   * @remarks Follow `next` for ever: no change is left out, and those of one vehicle come in their order. A change
   * may be told again, with the same id, where an answer was lost. A key that is limited to fleets or workshops is
   * told of those alone. 410 where changes after the cursor have been deleted: its remedy says how to begin again.
   */
  @Get()
  @Allow(everybody)
  @ApiGoneResponse()
  @NextBy('after')
  @NotExported('The change feed has no end: follow it in application/json by next.')
  @Header('Cache-Control', 'no-store')
  read(
    @Context() context: RequestContext,
    @Query() query: ReadChangesQueryDto,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<ChangePageDto> {
    const gone = new AbortController();
    reply.raw.once('close', () => gone.abort());
    return this.changes.read(context, query, gone.signal);
  }
}
