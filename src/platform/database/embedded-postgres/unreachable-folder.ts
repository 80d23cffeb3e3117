import { spawnSync } from 'node:child_process';
import { existsSync, realpathSync } from 'node:fs';
import { dirname } from 'node:path';
import type { RunAsUser } from './run-as-user';

// The first folder on the way to `path` that the user may not pass through.
// Asked of the system itself: mode bits alone do not tell (access lists, mounts).
export function findUnreachableFolder(path: string, user: RunAsUser | undefined): string | undefined {
  if (!user) return undefined;
  let folder = path;
  while (!existsSync(folder)) folder = dirname(folder);
  const folders = foldersFromRootTo(realpathSync(folder));
  const probe = spawnSync(
    '/bin/sh',
    ['-c', 'for d; do [ -x "$d" ] || { printf %s "$d"; exit 1; }; done', 'sh', ...folders],
    { uid: user.uid, gid: user.gid, cwd: '/', encoding: 'utf8' },
  );
  if (probe.error) throw probe.error;
  return probe.status === 0 ? undefined : probe.stdout;
}

function foldersFromRootTo(folder: string): string[] {
  const parent = dirname(folder);
  return parent === folder ? [folder] : [...foldersFromRootTo(parent), folder];
}
