import { SourceFile } from './source-files';

const RELATION =
  /@?\b(ManyToOne|OneToMany|OneToOne|ManyToMany|JoinColumn|JoinTable|RelationId|TreeParent|TreeChildren)\b/;
const EAGER = /\beager\s*:\s*true\b|\brelations\s*:/;

/** Uses of object relations: entities know each other by id only, so nothing is loaded behind a reader's back. */
export function relationsIn(files: SourceFile[]): string[] {
  return files.flatMap(({ path, text }) =>
    text
      .split('\n')
      .map((line, index) => ({ line, at: `${path}:${index + 1}` }))
      .filter(({ line }) => RELATION.test(line) || EAGER.test(line))
      .map(({ line, at }) => `${at} ${line.trim()}`),
  );
}
