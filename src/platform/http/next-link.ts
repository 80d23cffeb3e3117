import {
  Injectable,
  SetMetadata,
  type CallHandler,
  type ExecutionContext,
  type NestInterceptor,
} from '@nestjs/common';
import { Reflector } from '@nestjs/core';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { map, type Observable } from 'rxjs';

const NEXT_PARAMETER = 'next-parameter';

/** Names the parameter that takes `next`, where that is not `cursor`. */
export const NextBy = (parameter: string): MethodDecorator => SetMetadata(NEXT_PARAMETER, parameter);

/** Repeats the `next` of a page as an RFC 8288 Link header. */
@Injectable()
export class NextLinkInterceptor implements NestInterceptor {
  private readonly reflector = new Reflector();

  intercept(execution: ExecutionContext, next: CallHandler): Observable<unknown> {
    const http = execution.switchToHttp();
    const { url } = http.getRequest<FastifyRequest>();
    const reply = http.getResponse<FastifyReply>();
    const parameter =
      this.reflector.get<string | undefined>(NEXT_PARAMETER, execution.getHandler()) ?? 'cursor';
    return next.handle().pipe(
      map((body: unknown) => {
        if (typeof body === 'object' && body !== null && 'next' in body && typeof body.next === 'string') {
          const [path = '', query = ''] = url.split('?');
          const parameters = new URLSearchParams(query);
          parameters.set(parameter, body.next);
          void reply.header('Link', `<${path}?${parameters.toString()}>; rel="next"`);
        }
        return body;
      }),
    );
  }
}
