import type { ErrorCode } from '../errors/error-codes';
import { COMMON_HEADERS } from './contract-headers';
import { problemTable } from './problem-table';

type Json = Record<string, unknown>;

/** Members that problems of one kind have beside the others (RFC 9457, section 3.2). */
function extensionsOf(members: Record<string, [code: ErrorCode, schema: Json]>): Record<string, Json> {
  return Object.fromEntries(
    Object.entries(members).map(([name, [code, schema]]) => [
      name,
      { ...schema, description: `May come with /problems/${code}.` },
    ]),
  );
}

/** Problem documents as the contract describes them. */
export const problemSchemas = {
  FieldError: {
    type: 'object',
    description: 'What is wrong with one field, and what would be accepted.',
    required: ['detail', 'remedy'],
    properties: {
      pointer: {
        type: 'string',
        description: 'JSON pointer into the request body.',
        examples: ['#/dutyClass'],
      },
      parameter: {
        type: 'string',
        description: 'Name of a query parameter, path parameter or header instead.',
      },
      detail: { type: 'string' },
      remedy: { type: 'string' },
    },
  },
  Problem: {
    type: 'object',
    description: 'Problem details (RFC 9457).',
    required: ['type', 'title', 'status', 'detail', 'remedy', 'instance', 'requestId'],
    properties: {
      type: {
        type: 'string',
        format: 'uri-reference',
        description: 'Stable name of the kind of problem; its address explains it.',
        enum: Object.keys(problemTable).map((code) => `/problems/${code}`),
      },
      title: { type: 'string' },
      status: { type: 'integer', minimum: 400, maximum: 599 },
      detail: { type: 'string' },
      remedy: { type: 'string', description: 'What the caller can do about it.' },
      instance: { type: 'string', format: 'uri-reference' },
      requestId: { type: 'string' },
      errors: { type: 'array', maxItems: 10_000, items: { $ref: '#/components/schemas/FieldError' } },
      ...extensionsOf({
        currentETag: ['stale-version', { type: 'string', maxLength: 20 }],
        existingId: ['already-exists', { type: 'string', format: 'uuid' }],
        state: ['state-conflict', { type: 'string', maxLength: 40 }],
        jobSheetId: ['state-conflict', { type: 'string', format: 'uuid' }],
        organisations: [
          'organisation-to-choose',
          {
            type: 'array',
            maxItems: 100,
            items: {
              type: 'object',
              required: ['id', 'name'],
              properties: {
                id: { type: 'string', format: 'uuid' },
                name: { type: 'string', maxLength: 200 },
              },
            },
          },
        ],
        freeTimes: ['slot-taken', { type: 'array', items: { $ref: '#/components/schemas/FreeTimeDto' } }],
        contradictions: [
          'contradictory-layout',
          { type: 'array', items: { $ref: '#/components/schemas/LayoutContradictionDto' } },
        ],
      }),
    },
  },
};

export const problemResponse = {
  description: 'The request was refused or failed.',
  headers: {
    ...COMMON_HEADERS,
    'Retry-After': {
      description: 'Seconds to wait, where waiting helps.',
      schema: { type: 'integer', minimum: 0 },
    },
  },
  content: { 'application/problem+json': { schema: { $ref: '#/components/schemas/Problem' } } },
};
