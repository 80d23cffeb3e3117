type Json = Record<string, unknown>;

/** Headers of every answer. */
export const COMMON_HEADERS = {
  'X-Request-Id': {
    description: 'Names this request in the logs.',
    schema: { type: 'string', format: 'uuid' },
  },
  'RateLimit-Policy': {
    description: 'How many requests the caller may send in a window.',
    schema: { type: 'string', maxLength: 100 },
  },
  RateLimit: {
    description: 'What is left of them, and for how long.',
    schema: { type: 'string', maxLength: 100 },
  },
};

/** Headers that come with what a body is: a record with its version, or a page that others follow. */
const HEADERS_OF_MEMBERS: Record<string, Json> = {
  revision: {
    ETag: {
      required: true,
      description: 'Version of the record (RFC 9110, section 8.8.3): send it as If-Match with a change.',
      schema: { type: 'string', pattern: '^"r[0-9]{1,9}"$', maxLength: 20 },
    },
  },
  next: {
    Link: {
      description: 'Address of the next page (RFC 8288), where there is one: the same as `next` in the body.',
      schema: { type: 'string', maxLength: 4_000 },
    },
  },
};

/** Names of the members of an answer in JSON. */
function membersOf(response: Json, schemas: Record<string, unknown>): string[] {
  const content = response.content as Record<string, { schema: Json }> | undefined;
  const reference = content?.['application/json']?.schema.$ref;
  if (typeof reference !== 'string') return [];
  const schema = schemas[reference.replace('#/components/schemas/', '')] as Json | undefined;
  return Object.keys(schema?.properties ?? {});
}

/** The headers of an answer that is no refusal. */
export function headersOf(response: Json, schemas: Record<string, unknown>): Json {
  const more = membersOf(response, schemas).map((name) => HEADERS_OF_MEMBERS[name] ?? {});
  return Object.assign({}, response.headers, COMMON_HEADERS, ...more) as Json;
}
