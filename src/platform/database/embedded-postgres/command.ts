import { execFile, spawn, type ChildProcess, type SpawnOptions } from 'node:child_process';
import { existsSync } from 'node:fs';
import { promisify } from 'node:util';
import type { RunAsUser } from './run-as-user';

export interface Command {
  readonly file: string;
  readonly args: readonly string[];
  readonly user: RunAsUser | undefined;
  // sent when this process goes; without one the command outlives it
  readonly deathSignal?: 'INT' | 'KILL';
}

const SETPRIV = ['/usr/bin/setpriv', '/bin/setpriv'].find((path) => existsSync(path));

// A clean environment: PGDATA and the like from the caller's shell must not reach the server, and its
// messages must come in English because start errors are told apart by them.
const environment = {
  PATH: process.env.PATH,
  TZ: 'UTC',
  LC_ALL: 'C',
  ...(process.platform === 'win32' && { SystemRoot: process.env.SystemRoot, TEMP: process.env.TEMP }),
};

export async function run(command: Command): Promise<string> {
  const { file, args, options } = prepared(command);
  const { stdout } = await promisify(execFile)(file, args, { ...options, encoding: 'utf8' });
  return stdout;
}

export function launch(command: Command, logFd: number): ChildProcess {
  const { file, args, options } = prepared(command);
  // A log file, never a pipe: a pipe breaks when this process goes.
  // A process group of its own, so that Ctrl-C reaches only us and we can close connections before the server.
  const spawnOptions: SpawnOptions = { ...options, stdio: ['ignore', logFd, logFd], detached: true };
  return spawn(file, args, { ...spawnOptions, windowsHide: true });
}

function prepared({ file, args, user, deathSignal }: Command) {
  // The working directory of this process may be closed to the other user.
  const options = { cwd: process.platform === 'win32' ? undefined : '/', env: environment };
  const identity = user && { uid: user.uid, gid: user.gid };
  if (!deathSignal || process.platform !== 'linux' || SETPRIV === undefined)
    return { file, args: [...args], options: { ...options, ...identity } };

  // Linux signals the process when its parent goes, however it goes. A change of user clears that wish, so
  // setpriv has to do both. Where there is no setpriv the server outlives a kill -9, and is re-attached.
  const change = user ? ['--reuid', `${user.uid}`, '--regid', `${user.gid}`, '--clear-groups'] : [];
  return { file: SETPRIV, args: [...change, '--pdeathsig', deathSignal, '--', file, ...args], options };
}
