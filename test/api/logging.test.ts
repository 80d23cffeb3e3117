import { QueryFailedError } from 'typeorm';
import { createLogger } from '../../src/platform/observability/logging';

const CANARY = 'three quiet herons';

function logged(err: unknown): string {
  const lines: string[] = [];
  createLogger('info', { write: (line) => lines.push(line) }).error({ err }, 'failed');
  return lines.join('');
}

const failed = (): QueryFailedError =>
  new QueryFailedError(`SELECT '${CANARY}'`, [CANARY], new Error('the connection was lost'));

it.each([
  ['a failed statement', failed()],
  ['what came of one', new Error('no answer', { cause: failed() })],
  ['several of them', new AggregateError([failed(), failed()], 'audit trails could not be sealed')],
  ['several of several', new AggregateError([new AggregateError([failed()], 'inner')], 'outer')],
])('tells of %s without its values', (_, error) => {
  const text = logged(error);
  expect(text).toContain('the connection was lost');
  expect(text).not.toContain(CANARY);
});
