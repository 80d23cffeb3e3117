import { Controller, Get, HttpCode, Param, Post, Query, Req, StreamableFile } from '@nestjs/common';
import { ApiBody, ApiConsumes, ApiExtension, ApiOkResponse, ApiTags } from '@nestjs/swagger';
import type { FastifyRequest } from 'fastify';
import { IfMatch } from '../../platform/http/entity-tag';
import { PageQueryDto } from '../../platform/http/page-query.dto';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { everybody, recorders } from '../../platform/security/role';
import { ImportParamsDto, ListImportLinesQueryDto, StartImportQueryDto } from './dto/import-query.dto';
import { ImportDto, ImportLinePageDto, ImportPageDto } from './dto/import.dto';
import { ImportsService } from './imports.service';

@ApiTags('imports')
@Controller('v1/imports')
export class ImportsController {
  constructor(private readonly imports: ImportsService) {}

  /** Lists imports, newest first. */
  @Get()
  @Allow(everybody)
  list(@Context() context: RequestContext, @Query() query: PageQueryDto): Promise<ImportPageDto> {
    return this.imports.list(context, query);
  }

  /**
   * Hands a file over and answers at once; the import tells how far the work is. Either CSV (RFC 4180, first line names
   * the columns) or a JSON object on each line, both UTF-8. Importing the same file again changes nothing.
   */
  @Post()
  @HttpCode(202)
  @Allow(recorders)
  @ApiConsumes('text/csv', 'application/x-ndjson')
  @ApiBody({ schema: { type: 'string', format: 'binary', maxLength: 268_435_456 } })
  // a repetition of the same file is harmless by itself, so no answer has to be remembered
  @ApiExtension('x-ignores-idempotency-key', true)
  start(
    @Context() context: RequestContext,
    @Query() query: StartImportQueryDto,
    @Req() request: FastifyRequest,
  ): Promise<ImportDto> {
    return this.imports.start(context, query, request.headers['content-type'], request.body);
  }

  /** Reads one import and its progress. */
  @Get(':importId')
  @Allow(everybody)
  get(@Context() context: RequestContext, @Param() { importId }: ImportParamsDto): Promise<ImportDto> {
    return this.imports.get(context, importId);
  }

  /** Lists what became of each line. */
  @Get(':importId/lines')
  @Allow(everybody)
  lines(
    @Context() context: RequestContext,
    @Param() { importId }: ImportParamsDto,
    @Query() query: ListImportLinesQueryDto,
  ): Promise<ImportLinePageDto> {
    return this.imports.lines(context, importId, query);
  }

  /**
   * Downloads the lines that could not be used, in the format that they came in and with the problem in a last column or
   * field: correct them and hand them over again.
   */
  @Get(':importId/rejects')
  @Allow(everybody)
  @ApiOkResponse({
    content: {
      'text/csv': { schema: { type: 'string' } },
      'application/x-ndjson': { schema: { type: 'string' } },
    },
  })
  async rejects(
    @Context() context: RequestContext,
    @Param() { importId }: ImportParamsDto,
  ): Promise<StreamableFile> {
    const { file, contentType, fileName } = await this.imports.rejects(context, importId);
    return new StreamableFile(file, {
      type: contentType,
      disposition: `attachment; filename="${fileName}"`,
    });
  }

  /** Stops an import; what has been stored stays. */
  @Post(':importId/cancel')
  @HttpCode(200)
  @Allow(recorders)
  cancel(
    @Context() context: RequestContext,
    @Param() { importId }: ImportParamsDto,
    @IfMatch() revision: number,
  ): Promise<ImportDto> {
    return this.imports.cancel(context, importId, revision);
  }
}
