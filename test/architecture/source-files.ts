import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join, relative } from 'node:path';

export const ROOT = join(__dirname, '../..');
export const FIXTURES = join(__dirname, 'fixtures');

export interface SourceFile {
  /** relative to the root it was found under */
  path: string;
  text: string;
}

/** Every file below the given folders of a root; a folder that does not exist (yet) has none. */
export function filePaths(root: string, folders: string[]): string[] {
  return folders
    .filter((folder) => existsSync(join(root, folder)))
    .flatMap((folder) =>
      readdirSync(join(root, folder), { withFileTypes: true, recursive: true })
        .filter((entry) => entry.isFile())
        .map((entry) => relative(root, join(entry.parentPath, entry.name))),
    )
    .filter((path) => !path.startsWith('test/architecture/fixtures/'))
    .sort();
}

export function sourceFiles(root: string, folders: string[], ending: string): SourceFile[] {
  return filePaths(root, folders)
    .filter((path) => path.endsWith(ending))
    .map((path) => ({ path, text: readFileSync(join(root, path), 'utf8') }));
}
