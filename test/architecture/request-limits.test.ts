import { scopes } from '../../src/platform/security/scope';
import {
  isForSessionsOnly,
  operationsOf,
  readContract,
  type Contract,
  type Operation,
} from '../support/contract-check';
import { bodySchemaOf, schemaOf, type Schema } from '../support/contract-schemas';

// OWASP API Security Top 10 (2023), API4: every value that a caller sends has a limit, and the contract says so.

const FORM = 'application/x-www-form-urlencoded';
const LIMITED_FORMATS = ['uuid', 'date', 'date-time'];

/** Where a schema of a request leaves open how much may be sent. */
function openEnds(schema: Schema, at: string): string[] {
  const found: string[] = [];
  const says = (what: string): number => found.push(`${at}: ${what}`);
  const chosen = schema.enum !== undefined || schema.constant !== undefined;
  if (schema.types.length === 0 && !chosen) says('no type');
  if (schema.types.includes('string') && !chosen) {
    const limited =
      schema.maxLength !== undefined ||
      schema.pattern !== undefined ||
      LIMITED_FORMATS.includes(schema.format ?? '');
    if (!limited) says('a text without maxLength, enum, pattern or format');
  }
  if (schema.types.includes('number') || schema.types.includes('integer')) {
    if (schema.minimum === undefined) says('a number without minimum');
    if (schema.maximum === undefined) says('a number without maximum');
  }
  if (schema.types.includes('array')) {
    if (schema.maxItems === undefined) says('a list without maxItems');
    if (schema.items === undefined) says('a list of anything');
    else found.push(...openEnds(schema.items, `${at}/*`));
  }
  if (schema.types.includes('object')) {
    const named = Object.keys(schema.properties).length > 0;
    if (schema.others === true) says('an object that takes any other member');
    if (!named && schema.others === false) says('an object without members');
    if (typeof schema.others === 'object') found.push(...openEnds(schema.others, `${at}/<name>`));
  }
  for (const [name, property] of Object.entries(schema.properties)) {
    found.push(...openEnds(property, `${at}/${name}`));
  }
  return found;
}

function openEndsOf(contract: Contract): string[] {
  return operationsOf(contract).flatMap(({ operation }) => {
    const body = bodySchemaOf(contract, operation);
    return [
      ...(operation.parameters ?? []).flatMap((parameter) =>
        openEnds(
          schemaOf(contract, parameter.schema),
          `${operation.operationId} ${parameter.in} ${parameter.name}`,
        ),
      ),
      ...(body === null ? [] : openEnds(body, `${operation.operationId} body`)),
      ...bodiesBesideJson(contract, operation),
    ];
  });
}

function bodiesBesideJson(contract: Contract, { operationId, requestBody }: Operation): string[] {
  return Object.entries(requestBody?.content ?? {})
    .filter(([media]) => !media.includes('json'))
    .flatMap(([media, { schema }]) =>
      media === FORM
        ? // RFC 6749, section 3.2, wants unknown fields ignored
          Object.entries(schemaOf(contract, schema).properties).flatMap(([name, field]) =>
            openEnds(field, `${operationId} form/${name}`),
          )
        : schema.maxLength === undefined
          ? [`${operationId} body: ${media} without maxLength`]
          : [],
    );
}

const header = ({ parameters }: Operation, name: string) =>
  (parameters ?? []).find((parameter) => parameter.in === 'header' && parameter.name === name);

/** What stands in a path is an id; where no key is asked for, a secret that the path shows the form of. */
function isIdOrSecret({ format, pattern }: Schema, isPublic: boolean): boolean {
  return isPublic ? pattern !== undefined : format === 'uuid';
}

/** What is missing from operations that all must have. */
function omissionsOf(contract: Contract): string[] {
  return operationsOf(contract).flatMap(({ method, path, operation }) => {
    const found: string[] = [];
    const says = (what: string): number => found.push(`${method} ${path}: ${what}`);
    const isPublic = operation['x-public'] === true;
    if (!isPublic && (operation['x-allowed-roles'] ?? []).length === 0) says('no x-allowed-roles');
    const [key, token, session] = operation.security ?? [];
    // nobody else changes a person's own session and preferences, so there is nothing to lose
    const isOwn = isForSessionsOnly(operation);
    const scoped = token?.oauth2?.length === 1 && scopes.some((scope) => scope === token.oauth2?.[0]);
    if (!isPublic && !isOwn && (key?.apiKey === undefined || !scoped || session?.session === undefined))
      says('not open to a key, a token with a scope and a session');
    const needsIfMatch = ['PUT', 'PATCH', 'DELETE'].includes(method) && !isOwn;
    if (needsIfMatch && header(operation, 'If-Match')?.required !== true) says('no required If-Match');
    const ignoresKey = operation['x-ignores-idempotency-key'] === true;
    if (method === 'POST' && (header(operation, 'Idempotency-Key') === undefined) !== ignoresKey) {
      says('Idempotency-Key and x-ignores-idempotency-key do not go together');
    }
    const named = [...path.matchAll(/\{(\w+)\}/g)].map(([, name]) => name);
    for (const name of named) {
      const parameter = (operation.parameters ?? []).find((each) => each.in === 'path' && each.name === name);
      if (parameter === undefined) says(`the path parameter ${name ?? ''} is not described`);
      else if (!isIdOrSecret(schemaOf(contract, parameter.schema), isPublic))
        says(`${name ?? ''} is not a uuid`);
    }
    return found;
  });
}

it('limits everything that a caller may send', () => {
  expect(openEndsOf(readContract())).toEqual([]);
});

it('asks every operation for roles, keys, tokens and sessions, If-Match, Idempotency-Key and ids', () => {
  const contract = readContract();
  expect(operationsOf(contract).length).toBeGreaterThan(20);
  expect(omissionsOf(contract)).toEqual([]);
});

it('sees what is missing', () => {
  const careless: Contract = {
    components: { schemas: { Note: { type: 'object', properties: { text: { type: 'string' } } } } },
    paths: {
      '/v1/notes/{noteId}': {
        put: {
          operationId: 'Notes_replace',
          parameters: [
            { name: 'noteId', in: 'path', schema: { type: 'string', maxLength: 10 } },
            { name: 'page', in: 'query', schema: { type: 'integer', minimum: 1 } },
            { name: 'tags', in: 'query', schema: { type: 'array', items: { type: 'string', enum: ['a'] } } },
          ],
          requestBody: { content: { 'application/json': { schema: { $ref: '#/components/schemas/Note' } } } },
          responses: {},
        },
      },
    },
  };
  expect(openEndsOf(careless)).toEqual([
    'Notes_replace query page: a number without maximum',
    'Notes_replace query tags: a list without maxItems',
    'Notes_replace body: an object that takes any other member',
    'Notes_replace body/text: a text without maxLength, enum, pattern or format',
  ]);
  expect(omissionsOf(careless)).toEqual([
    'PUT /v1/notes/{noteId}: no x-allowed-roles',
    'PUT /v1/notes/{noteId}: not open to a key, a token with a scope and a session',
    'PUT /v1/notes/{noteId}: no required If-Match',
    'PUT /v1/notes/{noteId}: noteId is not a uuid',
  ]);
});
