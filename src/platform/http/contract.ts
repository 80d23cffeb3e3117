import type { INestApplication } from '@nestjs/common';
import { DocumentBuilder, SwaggerModule, type OpenAPIObject } from '@nestjs/swagger';
import { declareExports } from '../exports/declare-exports';
import { SESSION_COOKIE } from '../security/session-cookie';
import { scopeMeanings, scopeOfMethod, type Scope } from '../security/scope';
import { headersOf } from './contract-headers';
import { problemResponse, problemSchemas } from './problem-schema';

type Json = Record<string, unknown>;

const METHODS = ['get', 'post', 'put', 'patch', 'delete'] as const;

const DESCRIPTION = `Service planning for fleets of vehicles with gas-charged, stored-energy hydraulics.

**The software advises.** The vehicle maker's manual, local law and a licensed person decide; a computed date, reserve
or forecast is never a certificate. Fluid in these systems stands at pressures that penetrate skin: an injection
injury looks small and is a surgical emergency.

Every error is a problem document (RFC 9457) whose \`type\` leads to its explanation. Single records carry an ETag;
changes to them need it as If-Match. POST requests that create may be repeated safely with an Idempotency-Key.
Lists are followed by \`next\`, which is also in the Link header; a list is given whole, in one consistent state, to
whoever accepts \`text/csv\` (RFC 4180) or \`application/x-ndjson\` instead of JSON, with the same filters. Days are days at the vehicle's depot.

Callers sign in with an API key, or as an OAuth 2 client that gets access tokens at \`/v1/oauth/token\` (RFC 6749,
section 4.4); both are sent as \`Authorization: Bearer\`. People sign in at \`/v1/sessions\` and are known by a cookie.
Requests are counted by key, client or person, over all processes;
every answer says in RateLimit-Policy and RateLimit (draft-ietf-httpapi-ratelimit-headers-11) how many are left.`;

/** The OpenAPI 3.1 contract of the running code: what is served, committed, and checked against every answer. */
export function buildContract(app: INestApplication): OpenAPIObject {
  const options = new DocumentBuilder()
    .setOpenAPIVersion('3.1.0')
    .setTitle('Precharge')
    .setDescription(DESCRIPTION)
    .setVersion('1')
    .setLicense('MIT', 'https://opensource.org/license/mit')
    .setContact('Precharge contributors', 'https://example.org/precharge', 'precharge@example.org')
    .addServer('/', 'this server')
    .addBearerAuth(
      {
        type: 'http',
        scheme: 'bearer',
        bearerFormat: 'API key',
        description: 'An API key of your organisation.',
      },
      'apiKey',
    )
    .addOAuth2(
      {
        type: 'oauth2',
        description:
          'An access token of an OAuth client of your organisation: a JWT (RFC 9068), held to the rules of RFC8725.',
        flows: { clientCredentials: { tokenUrl: '/v1/oauth/token', scopes: { ...scopeMeanings } } },
      },
      'oauth2',
    )
    .addCookieAuth(
      SESSION_COOKIE,
      {
        type: 'apiKey',
        in: 'cookie',
        description:
          'The session of a person who has signed in. Served over TLS, the cookie has the prefix __Host-. What changes ' +
          'anything has to come from a page of this service (Sec-Fetch-Site, or else Origin).',
      },
      'session',
    )
    .build();
  const document = SwaggerModule.createDocument(app, options, {
    operationIdFactory: (controller, method) => `${controller.replace(/Controller$/, '')}_${method}`,
  });
  const schemas = (document.components ??= {}).schemas ?? {};
  document.components.schemas = Object.fromEntries(Object.entries({ ...schemas, ...problemSchemas }).sort());
  document.components.responses = { Problem: problemResponse };
  document.paths = Object.fromEntries(Object.entries(document.paths).sort());
  document.tags = tagsOf(document);
  declareExports(document);
  for (const item of Object.values(document.paths)) {
    for (const method of METHODS) {
      const operation = item[method] as Json | undefined;
      if (operation !== undefined) completeOperation(method, operation, document.components.schemas);
    }
  }
  nullableAsType(document);
  const requested = schemasInRequests(document);
  for (const [name, schema] of Object.entries(document.components.schemas))
    completeSchema(schema as Json, requested.has(name));
  boundFormats(document);
  return document;
}

const REFUSALS = ['400', '401', '403', '404', '406', '422', '429', '500', '503'];
const REFUSALS_TO_ANYBODY = ['400', '406', '429', '500', '503'];
const REFUSALS_OF_METHOD: Record<(typeof METHODS)[number], string[]> = {
  get: [],
  post: ['409', '413', '415'],
  put: ['409', '413', '415'],
  patch: ['409', '413', '415'],
  delete: ['409'],
};
const REFUSALS_OF_REVISION = ['412', '428'];

function completeOperation(
  method: (typeof METHODS)[number],
  operation: Json,
  schemas: Record<string, unknown>,
): void {
  const texts = [operation.summary, operation.description].filter((text) => typeof text === 'string');
  const lines = (texts[0] ?? '').split('\n');
  const whole = lines.join(' ');
  // what runs over several lines is summed up by its first sentence
  operation.summary = lines.length === 1 ? whole : (/^.*?\.(?= |$)/.exec(whole)?.[0] ?? whole);
  operation.description ??= whole;
  for (const parameter of (operation.parameters ?? []) as Json[]) {
    parameter.description ??= `The ${String(parameter.name).replace(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`)}.`;
  }
  operation.security = securityOf(method, operation);
  const responses = operation.responses as Record<string, Json>;
  const revised = ((operation.parameters ?? []) as Json[]).some(({ name }) => name === 'If-Match');
  const refusals = [
    ...(operation['x-public'] === true ? REFUSALS_TO_ANYBODY : REFUSALS),
    ...REFUSALS_OF_METHOD[method],
    ...(revised ? REFUSALS_OF_REVISION : []),
  ];
  // a refusal that an operation only names is a problem like all others
  const named = Object.keys(responses).filter((status) => /^[45]/.test(status));
  for (const status of [...new Set([...refusals, ...named])].sort()) {
    if ((responses[status]?.description ?? '') === '')
      responses[status] = { $ref: '#/components/responses/Problem' };
  }
  for (const [status, response] of Object.entries(responses)) {
    if (response.$ref !== undefined) continue;
    if (response.description === '') response.description = status === '201' ? 'Created.' : 'As asked.';
    response.headers = headersOf(response, schemas);
  }
  const parameters = (operation.parameters ??= []) as Json[];
  if (method === 'post' && operation['x-ignores-idempotency-key'] !== true) parameters.push(IDEMPOTENCY_KEY);
  const body = operation.requestBody as { content?: Record<string, Json> } | undefined;
  const json = body?.content?.['application/json'];
  if (method === 'patch' && body?.content !== undefined && json !== undefined) {
    body.content['application/merge-patch+json'] = json;
  }
}

const IDEMPOTENCY_KEY = {
  name: 'Idempotency-Key',
  in: 'header',
  required: false,
  description: 'Names this request, so that repeating it does not do it twice.',
  schema: { type: 'string', minLength: 8, maxLength: 200 },
};

// A revision counts, and a request with a field that the contract does not know is refused.
function completeSchema(schema: Json, requested: boolean): void {
  const properties = (schema.properties ?? {}) as Record<string, Json>;
  if (properties.revision !== undefined) {
    Object.assign(properties.revision, {
      type: 'integer',
      minimum: 0,
      description: 'Counts the changes; also the ETag.',
    });
  }
  if (requested && schema.properties !== undefined) schema.additionalProperties ??= false;
}

/**
 * A key or a person of an allowed role, or a token that was asked for with the scope; nothing for what is open to
 * anybody.
 */
function securityOf(method: string, operation: Json): Json[] {
  if (operation['x-public'] === true) return [];
  const scope = (operation['x-needed-scope'] as Scope | undefined) ?? scopeOfMethod(method);
  delete operation['x-needed-scope'];
  if (operation['x-session-only'] === true) return [{ session: [] }];
  return [{ apiKey: [] }, { oauth2: [scope] }, { session: [] }];
}

/** Names of the schemas that bodies of requests consist of. */
function schemasInRequests(document: OpenAPIObject): Set<string> {
  const names = new Set<string>();
  const visit = (node: unknown): void => {
    for (const [, name = ''] of JSON.stringify(node).matchAll(/"#\/components\/schemas\/(\w+)"/g)) {
      if (names.has(name)) continue;
      names.add(name);
      visit(document.components?.schemas?.[name] ?? null);
    }
  };
  for (const item of Object.values(document.paths)) {
    for (const method of METHODS) visit(item[method]?.requestBody ?? null);
  }
  return names;
}

const LENGTH_OF_FORMAT: Record<string, number> = {
  uuid: 36,
  date: 10,
  'date-time': 40,
  'uri-reference': 2000,
};

/** Formats say how long a text can be, and whole numbers how wide they are; tools want it written out. */
function boundFormats(node: unknown): void {
  if (Array.isArray(node)) {
    node.forEach(boundFormats);
    return;
  }
  if (typeof node !== 'object' || node === null) return;
  const schema = node as Json;
  Object.values(schema).forEach(boundFormats);
  const types = [schema.type].flat();
  const length = typeof schema.format === 'string' ? LENGTH_OF_FORMAT[schema.format] : undefined;
  if (types.includes('string') && length !== undefined) schema.maxLength ??= length;
  if (types.includes('integer')) {
    const wide = typeof schema.maximum === 'number' && schema.maximum > 2_147_483_647;
    schema.format ??= wide ? 'int64' : 'int32';
    schema.minimum ??= 0;
    schema.maximum ??= 2_147_483_647;
  }
}

function tagsOf(document: OpenAPIObject): { name: string }[] {
  const names = new Set<string>();
  for (const item of Object.values(document.paths)) {
    for (const method of METHODS) for (const tag of item[method]?.tags ?? []) names.add(tag);
  }
  return [...names].sort().map((name) => ({ name, description: `Operations on ${name}.` }));
}

/** OpenAPI 3.1 says that something may be null by its type; the generator still writes the 3.0 way. */
function nullableAsType(node: unknown): void {
  if (Array.isArray(node)) {
    node.forEach(nullableAsType);
    return;
  }
  if (typeof node !== 'object' || node === null) return;
  const schema = node as Json;
  Object.values(schema).forEach(nullableAsType);
  if (schema.nullable !== true) return;
  delete schema.nullable;
  if (typeof schema.type === 'string') schema.type = [schema.type, 'null'];
  if (Array.isArray(schema.enum)) schema.enum = [...(schema.enum as unknown[]), null];
  if (Array.isArray(schema.allOf) || typeof schema.$ref === 'string') {
    const { allOf, $ref, ...rest } = schema;
    for (const name of Object.keys(schema)) Reflect.deleteProperty(schema, name);
    const reference = Array.isArray(allOf) ? (allOf as unknown[]) : [{ $ref }];
    Object.assign(schema, rest, { anyOf: [...reference, { type: 'null' }] });
  }
}
