import { readdirSync, readFileSync, readlinkSync } from 'node:fs';
import { basename } from 'node:path';
import { isErrno } from './system-error';

// A number in postmaster.pid proves nothing: process ids are reused, and where nobody reaps, a killed server
// lingers as a zombie that still answers to signal 0.
export function isServerOf(dataDir: string, pid: number): boolean {
  if (!isAlive(pid)) return false;
  if (process.platform !== 'linux') return true;
  const argv = commandLine(pid);
  if (basename(argv[0] ?? '') !== 'postgres') return false;
  return argv.includes(dataDir) || workingDirectory(pid) === dataDir;
}

// Every process of a server works in its data directory, also those that outlive a killed postmaster.
export function hasServerProcesses(dataDir: string): boolean {
  if (process.platform !== 'linux') return false;
  return readdirSync('/proc')
    .filter((name) => /^\d+$/.test(name))
    .map(Number)
    .some((pid) => workingDirectory(pid) === dataDir && isPostgres(commandLine(pid)[0] ?? ''));
}

// Children of the postmaster call themselves "postgres: checkpointer" and so on.
function isPostgres(program: string): boolean {
  return basename(program) === 'postgres' || program.startsWith('postgres: ');
}

export function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
  } catch (error) {
    if (!isErrno(error, 'EPERM')) return false;
  }
  if (process.platform !== 'linux') return true;
  // The name in brackets may itself contain brackets, hence the last one.
  const stat = readOrUndefined(() => readFileSync(`/proc/${pid}/stat`, 'utf8'));
  return stat !== undefined && !/^\) [ZX]/.test(stat.slice(stat.lastIndexOf(')')));
}

function commandLine(pid: number): string[] {
  return readOrUndefined(() => readFileSync(`/proc/${pid}/cmdline`, 'utf8'))?.split('\0') ?? [];
}

function workingDirectory(pid: number): string | undefined {
  return readOrUndefined(() => readlinkSync(`/proc/${pid}/cwd`));
}

// A process may end between two looks, and other users' processes do not show their folder.
function readOrUndefined(read: () => string): string | undefined {
  try {
    return read();
  } catch (error) {
    if (['ENOENT', 'ESRCH', 'EACCES', 'EPERM'].some((code) => isErrno(error, code))) return undefined;
    throw error;
  }
}
