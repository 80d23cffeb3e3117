import {
  chmodSync,
  cpSync,
  existsSync,
  lstatSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  symlinkSync,
} from 'node:fs';
import { arch, platform } from 'node:os';
import { dirname, join, relative } from 'node:path';
import { run } from './command';
import { EmbeddedPostgresError, OWN_SERVER_REMEDY } from './embedded-postgres-error';
import { isErrno, isSystemError } from './system-error';
import type { RunAsUser } from './run-as-user';
import { findUnreachableFolder } from './unreachable-folder';

export interface Binaries {
  readonly postgres: string;
  readonly initdb: string;
  readonly pgCtl: string;
  readonly majorVersion: string;
}

// Programs that the user can run: those of the npm package or, when the user cannot reach them or the package
// lacks its links and is not ours to mend, a copy beside the data directory, a place the user can always reach.
export async function findBinaries(
  dataDir: string,
  user: RunAsUser | undefined,
  packageRoot = findPackageRoot(),
): Promise<Binaries> {
  const version = packageVersion(packageRoot);
  const inPlace =
    !findUnreachableFolder(join(packageRoot, 'native', 'bin'), user) && restoreLinks(packageRoot);
  if (inPlace) {
    const failure = await tryOut(packageRoot, user);
    if (failure === undefined) return binariesIn(packageRoot, version);
    // Unreadable to the other user file by file (installed under a strict umask): only a copy helps.
    if (!user) throw cannotRun(packageRoot, failure);
  }
  const copy = copyPackage(packageRoot, `${dataDir}.binaries-${version}`);
  const failure = await tryOut(copy, user);
  if (failure !== undefined) throw cannotRun(copy, failure);
  return binariesIn(copy, version);
}

export function packageName(os: string = platform(), processor: string = arch()): string {
  return `@embedded-postgres/${os === 'win32' ? 'windows' : os}-${processor}`;
}

export function findPackageRoot(name = packageName()): string {
  try {
    // The package exports nothing but its entry, <root>/dist/index.js.
    return dirname(dirname(require.resolve(name)));
  } catch (error) {
    throw new EmbeddedPostgresError(
      `There are no PostgreSQL programs for this platform: the package ${name} is not installed.`,
      `Install it (npm ci --include=optional, or npm install ${name} where this platform is not in package.json), ` +
        `or ${OWN_SERVER_REMEDY}.`,
      [],
      { cause: error },
    );
  }
}

function binariesIn(root: string, version: string): Binaries {
  const program = (name: string) =>
    join(root, 'native', 'bin', platform() === 'win32' ? `${name}.exe` : name);
  return {
    postgres: program('postgres'),
    initdb: program('initdb'),
    pgCtl: program('pg_ctl'),
    majorVersion: version.split('.')[0] ?? version,
  };
}

function packageVersion(root: string): string {
  const manifest = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')) as { version: string };
  return manifest.version;
}

// The links between versions of a library cannot travel in an npm package; its install script makes them.
// After `npm ci --ignore-scripts` they are missing. False when they are and this folder is not ours to write.
function restoreLinks(root: string): boolean {
  const list = join(root, 'native', 'pg-symlinks.json');
  if (!existsSync(list)) return true;
  const links = JSON.parse(readFileSync(list, 'utf8')) as { source: string; target: string }[];
  try {
    for (const link of links) {
      const path = join(root, link.target);
      if (!existsSync(path)) symlinkSync(relative(dirname(path), join(root, link.source)), path);
    }
    return true;
  } catch (error) {
    if (['EACCES', 'EPERM', 'EROFS'].some((code) => isErrno(error, code))) return false;
    throw error;
  }
}

async function tryOut(root: string, user: RunAsUser | undefined): Promise<Error | undefined> {
  const { postgres, initdb } = binariesIn(root, '');
  try {
    for (const file of [postgres, initdb])
      await run({ file, args: ['--version'], user, deathSignal: 'KILL' });
    return undefined;
  } catch (error) {
    if (isSystemError(error)) return error;
    throw error;
  }
}

function copyPackage(root: string, target: string): string {
  if (existsSync(target)) {
    refuseIfForeign(target);
    return target;
  }
  const draft = `${target}.draft`;
  rmSync(draft, { recursive: true, force: true });
  cpSync(root, draft, { recursive: true, verbatimSymlinks: true });
  restoreLinks(draft);
  openToEveryone(draft);
  renameSync(draft, target);
  return target;
}

// What another user put there must not be run.
function refuseIfForeign(folder: string): void {
  const { uid, mode } = lstatSync(folder);
  if (uid === process.getuid?.() && (mode & 0o022) === 0) return;
  throw new EmbeddedPostgresError(
    `${folder}, where the PostgreSQL programs are kept, belongs to another user or is open to others.`,
    'Delete it, or set PRECHARGE_DATA_DIR to a folder that only you can write to.',
  );
}

// The copy must not inherit a strict umask: the user that runs the programs is another one.
function openToEveryone(folder: string): void {
  chmodSync(folder, 0o755);
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) openToEveryone(path);
    else if (entry.isFile()) chmodSync(path, (statSync(path).mode & 0o100) === 0 ? 0o644 : 0o755);
  }
}

function cannotRun(root: string, failure: Error): EmbeddedPostgresError {
  return new EmbeddedPostgresError(
    `The PostgreSQL programs in ${root} do not run here: ${failure.message.trim()}`,
    `Reinstall the packages (npm ci); if this system cannot run them (another C library, a folder mounted ` +
      `noexec), ${OWN_SERVER_REMEDY}.`,
    [],
    { cause: failure },
  );
}
