import { createHash } from 'node:crypto';
import { basename, join, resolve } from 'node:path';
import { hasData } from './data-directory';
import { runAsUser } from './run-as-user';
import { findUnreachableFolder } from './unreachable-folder';

export interface DataDirectoryChoice {
  readonly dataDir: string;
  // To be said at start: where the data are and, if not in the usual place, why.
  readonly explanation: string;
}

const ROOT_DATA = '/var/lib/precharge';

// Usually <repository>/.data/postgres. For root in a clone under a closed folder (/root has mode 0700) that is
// out of reach of the user that runs the server, and data have to outlast a restart, so not the temporary
// folder: /var/lib/precharge then, with a folder of its own for each clone.
export function defaultDataDirectory(
  repositoryDir: string,
  environment: NodeJS.ProcessEnv,
  rootData = ROOT_DATA,
): DataDirectoryChoice {
  const chosen = environment.PRECHARGE_DATA_DIR;
  if (chosen) {
    const dataDir = join(resolve(chosen), 'postgres');
    return { dataDir, explanation: `Database files: ${dataDir} (PRECHARGE_DATA_DIR)` };
  }

  const inRepository = join(resolve(repositoryDir), '.data', 'postgres');
  const usual = { dataDir: inRepository, explanation: `Database files: ${inRepository}` };
  // Data that exist decide, whatever the permissions of today: an empty database must never stand in for them.
  if (hasData(inRepository)) return usual;

  const elsewhere = join(rootData, cloneName(repositoryDir), 'postgres');
  const closedFolder = findUnreachableFolder(inRepository, runAsUser(inRepository));
  if (closedFolder === undefined && !hasData(elsewhere)) return usual;
  const reason =
    closedFolder === undefined
      ? 'where this clone has kept them since it was out of reach of the user that runs PostgreSQL'
      : `because ${closedFolder} is closed to the user that runs PostgreSQL, which cannot run as root`;
  return {
    dataDir: elsewhere,
    explanation: `Database files: ${elsewhere}, ${reason}. Set PRECHARGE_DATA_DIR for another place.`,
  };
}

function cloneName(repositoryDir: string): string {
  const path = resolve(repositoryDir);
  return `${basename(path)}-${createHash('sha256').update(path).digest('hex').slice(0, 8)}`;
}
