import { useInfiniteQuery } from '@tanstack/react-query';
import { useMemo, useState } from 'react';
import { answered, api, type Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { DataTable } from '../../../design/data-table';
import { SelectField } from '../../../design/field';
import { ProblemNotice } from '../../../design/notice';
import { Waiting } from '../../../design/page';
import { StateMark, type Tone } from '../../../design/state-mark';
import { column } from '../parts/columns';
import { faultText } from '../parts/faults';
import { Part } from '../parts/part';

type Line = Schemas['ImportLineDto'];

const OUTCOMES: Record<Line['outcome'], { tone: Tone; text: string }> = {
  created: { tone: 'good', text: 'new' },
  updated: { tone: 'good', text: 'changed' },
  unchanged: { tone: 'unknown', text: 'as it was' },
  quarantined: { tone: 'warn', text: 'to be decided about' },
  rejected: { tone: 'bad', text: 'rejected' },
};

/** What became of each line; where some were rejected, those first of all. */
export function ImportLines({ importId, hasRejected }: { importId: string; hasRejected: boolean }) {
  const [outcome, setOutcome] = useState<Line['outcome'] | ''>(hasRejected ? 'rejected' : '');
  const lines = useInfiniteQuery({
    queryKey: ['administration', 'imports', importId, 'lines', outcome],
    queryFn: ({ pageParam }) =>
      answered(
        api.GET('/v1/imports/{importId}/lines', {
          params: {
            path: { importId },
            query: {
              limit: 100,
              ...(outcome === '' ? {} : { outcome }),
              ...(pageParam === null ? {} : { cursor: pageParam }),
            },
          },
        }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
  });
  const rows = useMemo(() => lines.data?.pages.flatMap(({ items }) => items) ?? [], [lines.data]);
  const columns = useMemo(
    () => [
      column<Line>('Line', ({ lineNumber }) => lineNumber),
      column<Line>(
        'Outcome',
        (line) => line.outcome,
        (line) => <StateMark tone={OUTCOMES[line.outcome].tone}>{OUTCOMES[line.outcome].text}</StateMark>,
      ),
      column<Line>('What is wrong', ({ errors }) => errors.map(lineFault).join(' ')),
    ],
    [],
  );
  return (
    <Part title="Lines">
      <SelectField
        label="Show"
        value={outcome}
        onChange={({ target }) => setOutcome(target.value as Line['outcome'] | '')}
      >
        <option value="">All lines</option>
        {Object.entries(OUTCOMES).map(([value, { text }]) => (
          <option key={value} value={value}>
            {text}
          </option>
        ))}
      </SelectField>
      <ProblemNotice error={lines.error} />
      {lines.isPending ? (
        <Waiting what="the lines" />
      ) : (
        <DataTable
          caption="Lines"
          columns={columns}
          rows={rows}
          rowId={({ lineNumber }) => String(lineNumber)}
          empty="No such line."
        />
      )}
      {lines.hasNextPage ? (
        <div className="row">
          <Button busy={lines.isFetchingNextPage} onClick={() => void lines.fetchNextPage()}>
            Show more
          </Button>
        </div>
      ) : null}
    </Part>
  );
}

const lineFault = ({ pointer, detail, remedy }: Line['errors'][number]): string =>
  `${pointer === undefined ? '' : `${pointer.slice(2)}: `}${faultText({ detail, remedy })}`;
