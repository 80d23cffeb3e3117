import { randomBytes } from 'node:crypto';
import {
  closeSync,
  existsSync,
  fsyncSync,
  linkSync,
  openSync,
  readFileSync,
  rmSync,
  statSync,
  writeSync,
} from 'node:fs';
import { EmbeddedPostgresError } from './embedded-postgres-error';
import { isErrno } from './system-error';

export function passwordFilePath(dataDir: string): string {
  return `${dataDir}.password`;
}

export function readPassword(dataDir: string): string {
  const path = passwordFilePath(dataDir);
  refuseIfOpenToOthers(path);
  return readFileSync(path, 'utf8').trim();
}

// The password comes before the data: whatever step is interrupted, there is never a data directory whose
// password was not on the disk first, and the next start goes on with the one it finds.
export function ensurePassword(dataDir: string): void {
  const path = passwordFilePath(dataDir);
  if (existsSync(path)) return;
  const draft = `${path}.draft`;
  rmSync(draft, { force: true });
  const fd = openSync(draft, 'wx', 0o600);
  writeSync(fd, `${randomBytes(24).toString('base64url')}\n`);
  fsyncSync(fd);
  closeSync(fd);
  // A link appears whole and never replaces a file that is there.
  linkSync(draft, path);
  rmSync(draft);
}

function refuseIfOpenToOthers(path: string): void {
  if (process.platform === 'win32') return;
  try {
    const { mode, uid } = statSync(path);
    if ((mode & 0o077) !== 0)
      throw new EmbeddedPostgresError(
        `Other users may read the database password in ${path}.`,
        `Run: chmod 600 ${path}`,
      );
    if (uid === process.getuid?.()) return;
    if (process.getuid?.() === 0) return;
    throw new EmbeddedPostgresError(
      `The database password in ${path} belongs to another user (number ${uid}).`,
      'Start as that user, or set PRECHARGE_DATA_DIR to a folder of your own.',
    );
  } catch (error) {
    if (isErrno(error, 'ENOENT'))
      throw new EmbeddedPostgresError(
        `The file with the database password, ${path}, is missing while its data are there.`,
        'Put it back from a copy. Without one, set a new password as DEVELOPERS.md says ("Lost database password"); ' +
          'if nothing in the data directory has to be kept, delete that directory.',
      );
    throw error;
  }
}
