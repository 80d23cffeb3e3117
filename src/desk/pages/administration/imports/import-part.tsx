import { useQuery } from '@tanstack/react-query';
import { Link } from 'wouter';
import { answered, api } from '../../../api/client';
import { Listed } from '../parts/listed';
import { ImportLines } from './import-lines';
import { isUnderWay } from './import-files';
import { OneImport } from './one-import';

const ASK_AGAIN_MS = 1_000;

/** One file that was handed over: how far it is, what became of its lines, and what to do next. */
export function ImportPart({ importId }: { importId: string }) {
  const one = useQuery({
    queryKey: ['administration', 'imports', importId],
    queryFn: () => answered(api.GET('/v1/imports/{importId}', { params: { path: { importId } } })),
    refetchInterval: ({ state }) =>
      state.data === undefined || isUnderWay(state.data) ? ASK_AGAIN_MS : false,
  });
  return (
    <>
      <p>
        <Link href="/administration/imports">All files</Link>
      </p>
      <Listed what="the import" query={one}>
        {(record) => (
          <>
            <OneImport of={record} />
            {isUnderWay(record) ? null : (
              <ImportLines importId={importId} hasRejected={record.linesRejected > 0} />
            )}
          </>
        )}
      </Listed>
    </>
  );
}
