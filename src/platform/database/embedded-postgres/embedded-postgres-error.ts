/** The embedded server cannot be had. Its message stands alone: what failed, what to do, the end of the log. */
export class EmbeddedPostgresError extends Error {
  constructor(
    readonly failed: string,
    readonly remedy: string,
    readonly logLines: readonly string[] = [],
    options?: ErrorOptions,
  ) {
    const log = logLines.length === 0 ? '' : `\nThe log ends with:\n  ${logLines.join('\n  ')}`;
    super(`${failed}\n${remedy}${log}`, options);
    this.name = 'EmbeddedPostgresError';
  }
}

export const OWN_SERVER_REMEDY = 'set DATABASE_URL to a PostgreSQL 18 server of your own';
