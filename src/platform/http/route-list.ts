import type { FastifyInstance, FastifyRequest } from 'fastify';

export interface Route {
  url: string;
  pattern: RegExp;
  method: string;
}

const routesOf = new WeakMap<object, Route[]>();

/** Remembers every route as it is added, so that a wrong method can be told from a wrong address. */
export function keepRouteList(fastify: FastifyInstance): void {
  const routes: Route[] = [];
  routesOf.set(fastify.server, routes);
  fastify.addHook('onRoute', ({ url, method }) => {
    const pattern = new RegExp(
      `^${url
        .replace(/[.+]/g, '\\$&')
        .replace(/:[^/]+/g, '[^/]+')
        .replace(/\*/g, '.*')}$`,
    );
    for (const one of Array.isArray(method) ? method : [method]) routes.push({ url, pattern, method: one });
  });
}

/** Every route that was added since `keepRouteList`. */
export function routesOfServer(fastify: FastifyInstance): readonly Route[] {
  return routesOf.get(fastify.server) ?? [];
}

export function allowedMethodsOf(request: FastifyRequest): string[] {
  const path = request.url.split('?')[0] ?? '';
  const matching = routesOfServer(request.server).filter(({ pattern }) => pattern.test(path));
  return [...new Set(matching.map(({ method }) => method))].sort();
}
