import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import Ajv2020, { type ValidateFunction } from 'ajv/dist/2020';
import addFormats from 'ajv-formats';
import type { FastifyInstance } from 'fastify';

export interface Operation {
  operationId: string;
  parameters?: { name: string; in: string; required?: boolean; schema: Record<string, unknown> }[];
  requestBody?: { content: Record<string, { schema: Record<string, unknown> }> };
  responses: Record<string, ResponseObject>;
  security?: Record<string, string[]>[];
  'x-allowed-roles'?: string[];
  /** open to whoever has not signed in */
  'x-public'?: boolean;
  'x-ignores-idempotency-key'?: boolean;
}

interface ResponseObject {
  $ref?: string;
  headers?: Record<string, { required?: boolean; schema: Record<string, unknown> }>;
  content?: Record<string, { schema: Record<string, unknown> }>;
}

export interface Contract {
  paths: Record<string, Record<string, Operation>>;
  components: {
    schemas: Record<string, Record<string, unknown>>;
    responses?: Record<string, ResponseObject>;
  };
}

export function readContract(): Contract {
  return JSON.parse(readFileSync(join(__dirname, '../../openapi/openapi.json'), 'utf8')) as Contract;
}

/** Every operation of the contract with its method and path. */
export function operationsOf(contract: Contract): { method: string; path: string; operation: Operation }[] {
  return Object.entries(contract.paths).flatMap(([path, item]) =>
    Object.entries(item).map(([method, operation]) => ({ method: method.toUpperCase(), path, operation })),
  );
}

/** Whether only people who have signed in are answered, and no key and no token. */
export const isForSessionsOnly = ({ security = [] }: Operation): boolean =>
  security.length > 0 && security.every((way) => 'session' in way);

/** Those operations that take a key, a token or a session. */
export function guardedOperationsOf(contract: Contract): ReturnType<typeof operationsOf> {
  return operationsOf(contract).filter(({ operation }) => operation['x-public'] !== true);
}

// Pages that are for people and machines beside the API, not part of the contract.
const OUTSIDE = /^\/($|(health|metrics|problems|docs|desk|openapi\.json)(\/|$))/;

/**
 * Holds every answer of an application against the contract while tests run. Whatever differs is collected,
 * and thrown when the application is closed: a test file fails on an answer that nobody looked at, too.
 */
export class ContractCheck {
  private readonly contract = readContract();
  private readonly ajv = new Ajv2020({ strict: false, allErrors: true });
  private readonly validators = new Map<string, ValidateFunction>();
  private breaches = new Set<string>();

  constructor(fastify: FastifyInstance) {
    addFormats(this.ajv);
    const { components, paths } = structuredClone(this.contract);
    // a member that the contract does not name would be news to every caller, so the tests do not let it pass
    for (const schema of Object.values(components.schemas)) {
      if (schema.properties !== undefined) schema.additionalProperties ??= false;
    }
    this.ajv.addSchema({ $id: 'contract', components, paths });
    fastify.addHook('onSend', (request, reply, payload, done) => {
      const route = request.routeOptions.url;
      if (!OUTSIDE.test(request.url))
        this.check(request.method, route, reply.statusCode, reply.getHeaders(), payload);
      done(null, payload);
    });
  }

  /** What has differed since this was asked before; whoever takes it answers for it. */
  takeBreaches(): string[] {
    const taken = [...this.breaches];
    this.breaches = new Set();
    return taken;
  }

  /** @throws Error that lists each kind of difference once */
  verify(): void {
    if (this.breaches.size > 0)
      throw new Error(`Answers against the contract:\n  ${[...this.breaches].join('\n  ')}`);
  }

  private check(
    method: string,
    route: string | undefined,
    status: number,
    headers: Record<string, unknown>,
    payload: unknown,
  ): void {
    const type = headers['content-type'];
    const media = typeof type === 'string' ? (type.split(';')[0] ?? '') : '';
    if (route === undefined) {
      this.validate(`${method} unknown route ${status}`, 'contract#/components/schemas/Problem', payload);
      return;
    }
    const path = route.replace(/:([^/]+)/g, '{$1}');
    const operation = this.contract.paths[path]?.[method.toLowerCase()];
    const name = `${method} ${path} ${status}`;
    if (operation === undefined) {
      this.breaches.add(`${name}: no such operation`);
      return;
    }
    if (status === 304) return;
    const response = operation.responses[String(status)];
    if (response === undefined) {
      this.breaches.add(`${name}: the status is not in the contract`);
      return;
    }
    const { components } = this.contract;
    const described = response.$ref === undefined ? response : components.responses?.Problem;
    for (const [header, { required, schema }] of Object.entries(described?.headers ?? {})) {
      const value = headers[header.toLowerCase()];
      if (value !== undefined) this.checkHeader(`${name} ${header}`, schema, value);
      else if (required === true) this.breaches.add(`${name} ${header}: is missing`);
    }
    if (response.$ref !== undefined) {
      if (media !== 'application/problem+json') this.breaches.add(`${name}: sent as ${media}`);
      this.validate(name, 'contract#/components/schemas/Problem', payload);
      return;
    }
    const content = response.content?.[media];
    if (content === undefined) {
      if (response.content !== undefined) this.breaches.add(`${name}: sent as ${media}`);
      return;
    }
    if (media !== 'application/json') return;
    const pointer = [
      'paths',
      path,
      method.toLowerCase(),
      'responses',
      String(status),
      'content',
      media,
      'schema',
    ]
      .map((part) => encodeURIComponent(part.replaceAll('~', '~0').replaceAll('/', '~1')))
      .join('/');
    this.validate(name, `contract#/${pointer}`, payload);
  }

  /** A header is a text on the way, whatever its schema makes of it. */
  private checkHeader(name: string, schema: Record<string, unknown>, value: unknown): void {
    const text = typeof value === 'number' ? value.toString() : value;
    const read = schema.type === 'integer' ? Number(text) : text;
    if (!this.ajv.validate(schema, read)) this.breaches.add(`${name}: ${this.ajv.errorsText()}`);
  }

  private validate(name: string, reference: string, payload: unknown): void {
    let validator = this.validators.get(reference);
    if (validator === undefined) {
      validator = this.ajv.compile({ $ref: reference });
      this.validators.set(reference, validator);
    }
    const body: unknown =
      typeof payload === 'string' || Buffer.isBuffer(payload) ? JSON.parse(payload.toString()) : payload;
    if (validator(body)) return;
    for (const { instancePath, message, params } of validator.errors ?? []) {
      const place = instancePath.replace(/\/\d+/g, '/*');
      this.breaches.add(`${name}: ${place} ${message ?? ''} ${JSON.stringify(params)}`);
    }
  }
}
