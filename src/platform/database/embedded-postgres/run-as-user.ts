import { readFileSync, statSync } from 'node:fs';
import { EmbeddedPostgresError, OWN_SERVER_REMEDY } from './embedded-postgres-error';

export interface RunAsUser {
  readonly name: string;
  readonly uid: number;
  readonly gid: number;
}

// Postgres refuses to run as root. Undefined means: not root, so everything runs as whoever we are.
export function runAsUser(dataDir: string): RunAsUser | undefined {
  if (process.getuid?.() !== 0) return undefined;
  const accounts = readAccounts();

  // Existing data stay with their owner, or a package that later adds a user "postgres" would lock them out.
  const ownerUid = statSync(dataDir, { throwIfNoEntry: false })?.uid;
  const owner = accounts.find((account) => account.uid === ownerUid && account.uid !== 0);
  if (owner) return owner;

  // initdb looks its user up by name, so an arbitrary number will not do.
  for (const name of ['postgres', 'nobody']) {
    const account = accounts.find((candidate) => candidate.name === name);
    if (account) return account;
  }
  throw new EmbeddedPostgresError(
    'PostgreSQL refuses to run as root, and this machine has neither a user "postgres" nor a user "nobody".',
    `Add one (useradd --system postgres), run as an ordinary user, or ${OWN_SERVER_REMEDY}.`,
  );
}

function readAccounts(): RunAsUser[] {
  return readFileSync('/etc/passwd', 'utf8')
    .split('\n')
    .map((line) => line.split(':'))
    .map(([name = '', , uid, gid]) => ({ name, uid: Number(uid), gid: Number(gid) }))
    .filter(({ name, uid, gid }) => name !== '' && Number.isInteger(uid) && Number.isInteger(gid));
}
