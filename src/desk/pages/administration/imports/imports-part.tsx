import { useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import { Link } from 'wouter';
import { answered, api, type Schemas } from '../../../api/client';
import { DataTable } from '../../../design/data-table';
import { actorWords } from '../../../format/words';
import { column } from '../parts/columns';
import { Listed } from '../parts/listed';
import { Part } from '../parts/part';
import { useMomentText } from '../parts/use-moment-text';
import { wordsOf } from '../parts/words';
import { ImportState } from './import-state';

type Import = Schemas['ImportDto'];

/** The imports of late. */
export function ImportsPart() {
  const momentText = useMomentText();
  const imports = useQuery({
    queryKey: ['administration', 'imports'],
    queryFn: () => answered(api.GET('/v1/imports', { params: { query: { limit: 50 } } })),
  });
  const columns = useMemo(
    () => [
      column<Import>(
        'File',
        ({ fileName, kind }) => fileName ?? kind,
        ({ id, fileName }) => (
          <Link href={`/administration/imports/${id}`}>{fileName ?? 'without a name'}</Link>
        ),
      ),
      column<Import>('Records', ({ kind }) => wordsOf(kind)),
      column<Import>('Stored', ({ dryRun }) => (dryRun ? 'tried out' : 'stored')),
      column<Import>('Lines', ({ linesRead }) => linesRead),
      column<Import>('Rejected', ({ linesRejected }) => linesRejected),
      column<Import>(
        'State',
        ({ state }) => state,
        (one) => <ImportState of={one} />,
      ),
      column<Import>(
        'Handed over',
        ({ createdAt }) => createdAt,
        ({ createdAt, createdBy }) => `${momentText(createdAt)}, ${actorWords(createdBy)}`,
      ),
    ],
    [momentText],
  );
  return (
    <Part title="Files of late">
      <Listed what="the imports" query={imports}>
        {({ items }) => (
          <DataTable
            caption="Imports"
            columns={columns}
            rows={items}
            rowId={({ id }) => id}
            empty="No file has been handed over yet."
          />
        )}
      </Listed>
    </Part>
  );
}
