import { useMutation, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { useLocation } from 'wouter';
import { answered, api, ifMatch, type Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { Notice, ProblemNotice } from '../../../design/notice';
import { numberText } from '../../../format/units';
import { useReader } from '../../../session/session';
import { ConfirmDialog } from '../parts/confirm-dialog';
import { faultFinder, TypedFault } from '../parts/faults';
import { Part } from '../parts/part';
import { wordsOf } from '../parts/words';
import { FileDrop } from './file-drop';
import { isUnderWay, progressOf } from './import-files';
import { ImportState } from './import-state';
import styles from './imports.module.css';
import { startImport } from './start-import';

type Import = Schemas['ImportDto'];

export function OneImport({ of: one }: { of: Import }) {
  const { locale } = useReader();
  const queries = useQueryClient();
  const [cancelling, setCancelling] = useState(false);
  const count = (value: number) => numberText(value, locale, 0);
  return (
    <Part title={`${wordsOf(one.kind)}: ${one.fileName ?? 'a file'}`}>
      <ImportState of={one} />
      {one.dryRun ? <Notice tone="info" title="Tried out: nothing is stored." /> : null}
      {one.failure === null ? null : <Notice tone="bad" title={one.failure} />}
      <progress
        className={styles.progress}
        max={1}
        value={progressOf(one)}
        aria-label="How much of the file has been worked through"
      />
      <p role="status">
        {count(one.linesRead)} lines read: {count(one.linesCreated)} new, {count(one.linesUpdated)} changed,{' '}
        {count(one.linesUnchanged)} as they were, {count(one.linesRejected)} rejected.
      </p>
      {isUnderWay(one) ? (
        <div className="row">
          <Button kind="danger" onClick={() => setCancelling(true)}>
            Cancel
          </Button>
        </div>
      ) : (
        <NextStep of={one} />
      )}
      {cancelling ? (
        <ConfirmDialog
          title="Cancel the import?"
          action="Cancel it"
          onConfirm={() =>
            answered(
              api.POST('/v1/imports/{importId}/cancel', {
                params: { path: { importId: one.id }, header: ifMatch(one) },
              }),
            )
          }
          onDone={(cancelled) => {
            queries.setQueryData(['administration', 'imports', one.id], cancelled);
            setCancelling(false);
          }}
          onClose={() => setCancelling(false)}
        >
          <p>
            Lines that are not worked through yet are left.{' '}
            {one.dryRun ? 'Nothing is stored.' : 'What was stored stays.'} The same file can be handed over
            again later.
          </p>
        </ConfirmDialog>
      ) : null}
    </Part>
  );
}

/** The rejects to save and correct, and the file that is handed over next. */
function NextStep({ of: one }: { of: Import }) {
  const [, navigate] = useLocation();
  const [file, setFile] = useState<File | null>(null);
  const start = useMutation({
    mutationFn: (dryRun: boolean) => startImport(one.kind, file, dryRun),
    onSuccess: ({ id }) => navigate(`/administration/imports/${id}`),
  });
  const fileFault = start.error instanceof TypedFault ? faultFinder(start.error)('file') : null;
  return (
    <div className="sheet stack">
      {one.linesRejected > 0 ? (
        <p>
          <a href={`/v1/imports/${one.id}/rejects`} download>
            Save the rejected lines
          </a>
          , each with what is wrong with it. Correct them and hand them over here.
        </p>
      ) : (
        <p>
          {one.dryRun
            ? 'Every line can be used: hand the file over once more to store it.'
            : 'Another file of this kind:'}
        </p>
      )}
      <FileDrop file={file} fault={fileFault} onFile={setFile} />
      {fileFault === null ? <ProblemNotice error={start.error} /> : null}
      <div className="row">
        <Button busy={start.isPending} onClick={() => start.mutate(true)}>
          Try it out
        </Button>
        <Button kind="main" busy={start.isPending} onClick={() => start.mutate(false)}>
          Store it
        </Button>
      </div>
    </div>
  );
}
