import { Injectable, type CallHandler, type ExecutionContext, type NestInterceptor } from '@nestjs/common';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { map, type Observable } from 'rxjs';

/** Repeats the `next` of a page as an RFC 8288 Link header. */
@Injectable()
export class NextLinkInterceptor implements NestInterceptor {
  intercept(execution: ExecutionContext, next: CallHandler): Observable<unknown> {
    const http = execution.switchToHttp();
    const { url } = http.getRequest<FastifyRequest>();
    const reply = http.getResponse<FastifyReply>();
    return next.handle().pipe(
      map((body: unknown) => {
        if (typeof body === 'object' && body !== null && 'next' in body && typeof body.next === 'string') {
          const [path = '', query = ''] = url.split('?');
          const parameters = new URLSearchParams(query);
          parameters.set('cursor', body.next);
          void reply.header('Link', `<${path}?${parameters.toString()}>; rel="next"`);
        }
        return body;
      }),
    );
  }
}
