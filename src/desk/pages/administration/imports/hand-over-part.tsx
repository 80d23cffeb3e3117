import { useMutation, useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { useLocation } from 'wouter';
import { answered, api, type Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { SelectField } from '../../../design/field';
import { Notice, ProblemNotice } from '../../../design/notice';
import { faultFinder, TypedFault } from '../parts/faults';
import { Listed } from '../parts/listed';
import { Part } from '../parts/part';
import { saveFile } from '../parts/save-file';
import { wordsOf } from '../parts/words';
import { FileDrop } from './file-drop';
import { exportOf, needsNdjson, templateOf, type ExportPath, type ImportKind } from './import-files';
import styles from './imports.module.css';
import { startImport } from './start-import';

/** Hands a file over: tried out first, so that nothing is stored before it was seen what would be. */
export function HandOverPart() {
  const kinds = useQuery({
    queryKey: ['administration', 'import-kinds'],
    queryFn: () => answered(api.GET('/v1/import-kinds')),
    staleTime: Infinity,
  });
  return (
    <Part title="Hand a file over">
      <Listed what="the kinds of files" query={kinds}>
        {({ items }) => <HandOverForm kinds={items} />}
      </Listed>
    </Part>
  );
}

function HandOverForm({ kinds }: { kinds: readonly ImportKind[] }) {
  const [, navigate] = useLocation();
  const [chosen, setChosen] = useState<Schemas['ImportDto']['kind']>('vehicles');
  const [file, setFile] = useState<File | null>(null);
  const start = useMutation({
    mutationFn: (dryRun: boolean) => startImport(chosen, file, dryRun),
    onSuccess: ({ id }) => navigate(`/administration/imports/${id}`),
  });
  const kind = kinds.find((each) => each.kind === chosen);
  const fileFault = start.error instanceof TypedFault ? faultFinder(start.error)('file') : null;
  return (
    <form
      className="sheet stack"
      onSubmit={(event) => {
        event.preventDefault();
        start.mutate(true);
      }}
    >
      <SelectField
        label="Records"
        hint="In this order: a file may name only what is on file already."
        value={chosen}
        onChange={({ target }) => setChosen(target.value as typeof chosen)}
      >
        {kinds.map((each) => (
          <option key={each.kind} value={each.kind}>
            {wordsOf(each.kind)}
          </option>
        ))}
      </SelectField>
      {kind === undefined ? null : <Columns kind={kind} />}
      <FileDrop file={file} fault={fileFault} onFile={setFile} />
      {fileFault === null ? <ProblemNotice error={start.error} /> : null}
      <div className="row">
        <Button kind="main" type="submit" busy={start.isPending}>
          Try it out
        </Button>
        <Button busy={start.isPending} onClick={() => start.mutate(false)}>
          Store it
        </Button>
      </div>
      <p className="soft small">
        Trying it out reports every line and stores nothing. The same file may be handed over again: what is
        known already stays as it is.
      </p>
    </form>
  );
}

function Columns({ kind }: { kind: ImportKind }) {
  const path = exportOf(kind);
  const save = useMutation({
    mutationFn: async (from: ExportPath) => {
      const headers = { Accept: 'text/csv' };
      const text = await answered(api.GET(from, { headers, parseAs: 'text' }));
      saveFile(`${kind.kind}.csv`, text, 'text/csv');
    },
  });
  return (
    <details>
      <summary>Columns of {wordsOf(kind.kind).toLowerCase()}</summary>
      <ul className={styles.columns}>
        {kind.columns.map(({ name, type, required }) => (
          <li key={name}>
            <span className="digits">{name}</span>
            {required ? ' (needed)' : ''}
            {type === 'nested' ? ' (NDJSON only)' : ''}
          </li>
        ))}
      </ul>
      {needsNdjson(kind) ? (
        <Notice tone="info" title="New records need a field that CSV has no column for: use NDJSON." />
      ) : null}
      <Button
        onClick={() => {
          const { name, text, mediaType } = templateOf(kind);
          saveFile(name, text, mediaType);
        }}
      >
        Save an empty file with these columns
      </Button>
      {path === null ? null : (
        <Button busy={save.isPending} onClick={() => save.mutate(path)}>
          Save what is on file with these columns
        </Button>
      )}
      <ProblemNotice error={save.error} />
    </details>
  );
}
