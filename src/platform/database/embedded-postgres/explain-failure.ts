import { EmbeddedPostgresError, OWN_SERVER_REMEDY } from './embedded-postgres-error';

// What PostgreSQL says (in English: the launcher sets LC_ALL=C), and what the person at the keyboard can do.
const KNOWN: readonly { sign: RegExp; remedy: string }[] = [
  {
    sign: /No space left on device|Disk quota exceeded|ENOSPC|EDQUOT/,
    remedy: 'The disk is full: make room, or set PRECHARGE_DATA_DIR to a folder on another disk.',
  },
  {
    sign: /could not look up effective user ID/,
    remedy: `This user has no entry in the password file, which PostgreSQL demands: add one, or ${OWN_SERVER_REMEDY}.`,
  },
  {
    sign: /could not bind IPv4 address/,
    remedy: 'The port is taken: give another one, or none for any free port.',
  },
  {
    sign: /data directory .* has wrong ownership/,
    remedy:
      'The data directory belongs to another user than the one that runs the server: start as its owner, ' +
      'or give it (chown -R) to that user.',
  },
  {
    sign: /could not (create|map|attach) .*shared memory|Cannot allocate memory/,
    remedy: `The machine is out of (shared) memory: free some, or ${OWN_SERVER_REMEDY}.`,
  },
  {
    sign: /pre-existing shared memory block .* is still in use/,
    remedy: 'Processes of an earlier server still use these data: stop them, then start again.',
  },
  {
    sign: /EACCES|EROFS|Permission denied/,
    remedy:
      'Start as the user that owns these folders, or set PRECHARGE_DATA_DIR to a folder you can write to.',
  },
  {
    sign: /setresuid failed|setgroups failed|EPERM/,
    remedy: `This process may not change to another user: run as an ordinary user, or ${OWN_SERVER_REMEDY}.`,
  },
];

export const PORT_TAKEN = /could not bind IPv4 address/;

export function explainFailure(
  failed: string,
  lines: readonly string[],
  cause?: unknown,
): EmbeddedPostgresError {
  const text = `${failed}\n${lines.join('\n')}`;
  const known = KNOWN.find(({ sign }) => sign.test(text));
  const remedy = known?.remedy ?? `If the log does not help: ${OWN_SERVER_REMEDY}.`;
  return new EmbeddedPostgresError(failed, remedy, lines, { cause });
}
