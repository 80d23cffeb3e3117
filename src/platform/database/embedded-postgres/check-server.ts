import { realpathSync } from 'node:fs';
import { Client, DatabaseError } from 'pg';
import { EmbeddedPostgresError } from './embedded-postgres-error';
import { passwordFilePath } from './password-file';

// A server that answers is not yet ours: a port is reused, a password file replaced, and one started for tests
// may lose what it has confirmed.
export async function checkServer(url: string, dataDir: string, durable: boolean): Promise<void> {
  const client = new Client({ connectionString: url, connectionTimeoutMillis: 10_000 });
  client.on('error', () => undefined); // a connection lost here shows in the query
  try {
    await client.connect();
    const { rows } = await client.query<{ directory: string; fsync: string }>(
      `select current_setting('data_directory') as directory, current_setting('fsync') as fsync`,
    );
    const [server] = rows;
    if (!server || realpathSync(server.directory) !== realpathSync(dataDir))
      throw new EmbeddedPostgresError(
        `Another server (data directory ${server?.directory ?? 'unknown'}) answers in place of that on ${dataDir}.`,
        'Stop it, or start this one on another port.',
      );
    if (durable && server.fsync !== 'on')
      throw new EmbeddedPostgresError(
        `The server running on ${dataDir} was started for tests (fsync off) and may lose data.`,
        'Stop it, then start again.',
      );
  } catch (error) {
    if (error instanceof DatabaseError && error.code === '28P01')
      throw new EmbeddedPostgresError(
        `The server on ${dataDir} refuses the password in ${passwordFilePath(dataDir)}.`,
        'Put back the file that belongs to these data, or set a new password as DEVELOPERS.md says ' +
          '("Lost database password").',
        [],
        { cause: error },
      );
    throw error;
  } finally {
    await client.end();
  }
}
