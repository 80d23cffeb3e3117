import {
  Inject,
  Injectable,
  StreamableFile,
  type CallHandler,
  type ExecutionContext,
  type NestInterceptor,
} from '@nestjs/common';
import { Reflector } from '@nestjs/core';
import type { OpenAPIObject } from '@nestjs/swagger';
import type { FastifyReply } from 'fastify';
import { from, lastValueFrom, type Observable } from 'rxjs';
import type { Config } from '../config/config';
import { CONFIG } from '../config/config.module';
import { Transactions } from '../database/transactions';
import { CodedError, parameterError } from '../errors/coded-error';
import { readContract } from '../http/contract-pages';
import { contextOf, type RequestWithContext } from '../http/request-context';
import { CSV, exportedListsOf, NDJSON, type ExportedList } from './declare-exports';
import { ExportFile, type ExportFormat } from './export-file';
import { NOT_EXPORTED } from './not-exported';

const JSON_TYPE = 'application/json';
const RECORDS_AT_ONCE = '200';
const RETRY_AFTER_SECONDS = 5;

type Query = Record<string, string>;

/**
 * Gives every list whole, as CSV or NDJSON, to whoever asks for that in Accept: the handler of the list is called for one
 * page after the other, in one snapshot of the data, so that an export is exactly what its pages are, for everybody.
 *
 * The file is made before its first byte is sent. A failure therefore is a problem document and never half a file, the
 * length is known, and a receiver that reads slowly holds a file of its own and no transaction.
 */
@Injectable()
export class ExportListsInterceptor implements NestInterceptor {
  private readonly reflector = new Reflector();
  private readonly atOnce: number;
  private running = 0;
  private known: Map<string, ExportedList> | undefined;

  constructor(
    private readonly transactions: Transactions,
    @Inject(CONFIG) private readonly config: Config,
  ) {
    // each holds a connection while its file is made; most of them are for everybody else
    this.atOnce = Math.max(1, Math.floor(config.poolSize / 4));
  }

  intercept(execution: ExecutionContext, next: CallHandler): Observable<unknown> {
    const http = execution.switchToHttp();
    const request = http.getRequest<RequestWithContext>();
    const reply = http.getResponse<FastifyReply>();
    if (request.context === undefined || !['GET', 'HEAD'].includes(request.method)) return next.handle();
    const list = this.lists().get(operationIdOf(execution));
    if (list === undefined) {
      this.refuseExport(execution, request);
      return next.handle();
    }
    void reply.header('Vary', 'Accept');
    const format = wanted(request);
    return format === JSON_TYPE ? next.handle() : from(this.export(list, format, request, reply, next));
  }

  /** What is no list, or says why it is not exported, is made as what it is. */
  private refuseExport(execution: ExecutionContext, request: RequestWithContext): void {
    const best = wanted(request);
    const reason = this.reflector.get<string | undefined>(NOT_EXPORTED, execution.getHandler());
    if (reason !== undefined && best !== JSON_TYPE) throw new CodedError('not-acceptable', reason);
    if (best === NDJSON) throw new CodedError('not-acceptable', `Only lists are made as ${NDJSON}.`);
  }

  private async export(
    list: ExportedList,
    format: ExportFormat,
    request: RequestWithContext,
    reply: FastifyReply,
    next: CallHandler,
  ): Promise<StreamableFile> {
    const query = request.query as Query;
    for (const parameter of ['limit', 'cursor']) {
      if (query[parameter] !== undefined)
        throw parameterError(
          parameter,
          'An export is the whole list.',
          'leave it out, or ask for application/json page by page',
        );
    }
    if (this.running >= this.atOnce) {
      void reply.header('Retry-After', String(RETRY_AFTER_SECONDS));
      throw new CodedError('too-many-requests', `This server makes ${this.atOnce} exports at a time.`);
    }
    const file = await this.make(list, format, request, reply, next);
    void reply.header('Record-Count', String(file.records)).header('Repr-Digest', file.digest());
    void reply.header('Cache-Control', 'no-store');
    const name = request.routeOptions.url?.split('/').findLast((part) => !part.startsWith(':')) ?? 'list';
    return file.toSend(name);
  }

  private async make(
    list: ExportedList,
    format: ExportFormat,
    request: RequestWithContext,
    reply: FastifyReply,
    next: CallHandler,
  ): Promise<ExportFile> {
    this.running += 1;
    try {
      const file = await ExportFile.open(format, list.columns, this.config.exportLimitBytes);
      try {
        await this.fill(file, list, request, reply, next);
        return file;
      } catch (error) {
        await file.discard();
        throw error;
      }
    } finally {
      this.running -= 1;
    }
  }

  private async fill(
    file: ExportFile,
    { paged }: ExportedList,
    request: RequestWithContext,
    reply: FastifyReply,
    next: CallHandler,
  ): Promise<void> {
    const context = contextOf(request);
    const query = request.query as Query;
    const endsAt = performance.now() + this.config.exportTimeLimitMs;
    let gone = false;
    reply.raw.once('close', () => (gone = true));
    await this.transactions.snapshot(context.principal, async (principal) => {
      request.context = { ...context, principal };
      for (let cursor: string | null | undefined = undefined; cursor !== null;) {
        const page: Query = paged ? { limit: RECORDS_AT_ONCE } : {};
        if (cursor !== undefined) page.cursor = cursor;
        // the pipes read the query anew whenever the handler is called
        request.query = { ...query, ...page };
        const answer = (await lastValueFrom(next.handle())) as { items: unknown[]; next?: string | null };
        await file.add(answer.items);
        cursor = answer.next ?? null;
        if (gone) throw new CodedError('unavailable', 'The receiver has gone.');
        if (cursor !== null && performance.now() > endsAt)
          throw new CodedError(
            'unavailable',
            'The export took too long; ask for less at a time, by a filter.',
          );
      }
    });
  }

  private lists(): Map<string, ExportedList> {
    // the committed contract: what is exported, and in which columns, is what was reviewed
    return (this.known ??= exportedListsOf(JSON.parse(readContract()) as OpenAPIObject));
  }
}

function operationIdOf(execution: ExecutionContext): string {
  return `${execution.getClass().name.replace(/Controller$/, '')}_${execution.getHandler().name}`;
}

/** What the caller likes best of what a list is made as; JSON where it is all the same. */
function wanted(request: RequestWithContext): ExportFormat | typeof JSON_TYPE {
  if (request.headers.accept === undefined) return JSON_TYPE;
  const best = request.accepts().type([JSON_TYPE, CSV, NDJSON]);
  return best === CSV || best === NDJSON ? best : JSON_TYPE;
}
