import type { FastifyInstance, FastifyRequest } from 'fastify';

interface Route {
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
    for (const one of Array.isArray(method) ? method : [method]) routes.push({ pattern, method: one });
  });
}

export function allowedMethodsOf(request: FastifyRequest): string[] {
  const path = request.url.split('?')[0] ?? '';
  const matching = (routesOf.get(request.server.server) ?? []).filter(({ pattern }) => pattern.test(path));
  return [...new Set(matching.map(({ method }) => method))].sort();
}
