import { Connection } from 'pg';

/**
 * How many statements with parameters this process sends to Postgres while something runs. Counted on the wire, as the
 * product's own client prepares its statements before they get there.
 */
export async function countStatements<T>(run: () => Promise<T>): Promise<{ result: T; statements: number }> {
  const sent = jest.spyOn(Connection.prototype, 'bind');
  try {
    const result = await run();
    return { result, statements: sent.mock.calls.length };
  } finally {
    sent.mockRestore();
  }
}
