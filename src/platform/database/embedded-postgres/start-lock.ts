import { createHash } from 'node:crypto';
import { closeSync, constants, openSync } from 'node:fs';
import { createServer } from 'node:net';
import { setTimeout as sleep } from 'node:timers/promises';
import { EmbeddedPostgresError } from './embedded-postgres-error';
import { isErrno } from './system-error';

type Release = () => void | Promise<void>;

const WAIT_MS = 180_000;

// One starter at a time for each data directory. Only locks that the system itself lets go of when their
// holder dies: a lock file with a process id in it would need the same guesses as a stale pid file.
export async function withStartLock<Result>(dataDir: string, work: () => Promise<Result>): Promise<Result> {
  const deadline = Date.now() + WAIT_MS;
  let release = await tryLock(dataDir);
  while (!release) {
    if (Date.now() > deadline)
      throw new EmbeddedPostgresError(
        `Another process has been starting the server on ${dataDir} for ${WAIT_MS / 1000} s.`,
        'Stop that process, then start again.',
      );
    await sleep(50);
    release = await tryLock(dataDir);
  }
  try {
    return await work();
  } finally {
    await release();
  }
}

async function tryLock(dataDir: string): Promise<Release | undefined> {
  const name = `precharge-start-${createHash('sha256').update(dataDir).digest('hex').slice(0, 32)}`;
  if (process.platform === 'linux') return listenOn(`\0${name}`); // in no folder: vanishes with its holder
  if (process.platform === 'win32') return listenOn(`\\\\.\\pipe\\${name}`);
  return openExclusively(`${dataDir}.lock`);
}

function listenOn(path: string): Promise<Release | undefined> {
  return new Promise((resolve, reject) => {
    const server = createServer((connection) => connection.destroy());
    server.once('error', (error) => {
      if (isErrno(error, 'EADDRINUSE') || isErrno(error, 'EACCES')) resolve(undefined);
      else reject(error);
    });
    server.listen({ path, exclusive: true }, () => {
      resolve(() => new Promise<void>((closed) => server.close(() => closed())));
    });
  });
}

// O_EXLOCK of macOS and the BSDs (fcntl.h): open and lock in one step.
const BSD_O_EXLOCK = 0x20;

function openExclusively(path: string): Release | undefined {
  try {
    const fd = openSync(
      path,
      constants.O_RDWR | constants.O_CREAT | constants.O_NONBLOCK | BSD_O_EXLOCK,
      0o600,
    );
    return () => {
      closeSync(fd);
    };
  } catch (error) {
    if (isErrno(error, 'EAGAIN')) return undefined;
    throw error;
  }
}
