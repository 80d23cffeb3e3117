import { forPeople } from '../../../src/desk/api/for-people';
import type { Problem } from '../../../src/desk/api/problem';
import type { ErrorCode } from '../../../src/platform/errors/error-codes';
import { problemTable } from '../../../src/platform/http/problem-table';

const refused = (code: ErrorCode, detail = ''): Problem => ({
  type: `/problems/${code}`,
  ...problemTable[code],
  detail,
  instance: '/v1/bookings',
  requestId: 'a',
});

// what only somebody meets who writes a program: the desk sends none of it
const OF_PROGRAMS = [
  'key-not-valid',
  'token-not-valid',
  'insufficient-scope',
  'method-not-allowed',
  'not-acceptable',
  'unsupported-media-type',
  'idempotency-key-reused',
];

it('tells people what they can do, not which request to send', () => {
  const codes = Object.keys(problemTable) as ErrorCode[];
  const remedies = codes
    .filter((code) => !OF_PROGRAMS.includes(code))
    .map((code) => forPeople(refused(code), 'en-GB').remedy);
  expect(remedies.length).toBeGreaterThan(15);
  expect(
    remedies.filter((remedy) => /\b(GET|POST|PATCH|header|[A-Z]\w+-[A-Z]\w+|ETag|JSON|"\w+")/.test(remedy)),
  ).toEqual([]);
});

it('writes dates as the reader does, in faults of fields too', () => {
  const problem: Problem = {
    ...refused('validation-failed', 'A day from 2026-12-24 on is refused.'),
    errors: [
      { pointer: '#/fromOn', detail: '2026-12-24 is too early', remedy: 'give a day from 2026-12-25 on' },
    ],
  };
  const { detail, errors } = forPeople(problem, 'de-AT');
  expect(detail).toMatch(/^A day from Do[.,]+ 24\. Dez/);
  expect(errors?.[0]?.remedy).toMatch(/^give a day from Fr[.,]+ 25\. Dez/);
});
