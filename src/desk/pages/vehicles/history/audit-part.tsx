import { useInfiniteQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import type { Schemas } from '../../../api/client';
import { DataTable, type Column } from '../../../design/data-table';
import { MoreButton } from '../../../design/more-button';
import { ProblemNotice } from '../../../design/notice';
import { momentText } from '../../../format/days';
import { useReader } from '../../../session/session';
import type { VehiclePartProps } from '../vehicle-part-props';
import { vehicleQueries } from '../vehicle-queries';
import { inWords } from '../../../format/words';
import { changesOf } from './changes-of';

type Entry = Schemas['AuditEntryDto'];

/** Who did what to the records of the vehicle. */
export default function AuditPart({ vehicle, zone }: VehiclePartProps) {
  const { locale } = useReader();
  const list = useInfiniteQuery(vehicleQueries(vehicle.id).auditEntries);
  const entries = useMemo(() => list.data?.pages.flatMap(({ items }) => items) ?? [], [list.data]);
  const columns = useMemo(
    (): Column<Entry>[] => [
      {
        header: 'When',
        accessorKey: 'recordedAt',
        sortFn: 'text',
        cell: ({ row: { original } }) => momentText(original.recordedAt, zone, locale),
      },
      { header: 'Who', accessorKey: 'actor', sortFn: 'text' },
      {
        header: 'What',
        accessorFn: ({ subjectType, action }) => `${inWords(subjectType)} ${inWords(action).toLowerCase()}`,
        sortFn: 'text',
      },
      {
        id: 'changes',
        header: 'Changes',
        enableSorting: false,
        cell: ({ row: { original } }) => <Changes entry={original} />,
      },
    ],
    [locale, zone],
  );
  return (
    <section className="stack" aria-labelledby="audit">
      <h2 id="audit">Who did what</h2>
      <ProblemNotice error={list.error} />
      <DataTable
        caption={`Who did what to ${vehicle.registrationMark}`}
        columns={columns}
        rows={entries}
        rowId={({ id }) => id}
        empty={list.isPending ? 'Reading …' : 'Nothing is on record.'}
      />
      <MoreButton list={list} of="entries" />
    </section>
  );
}

function Changes({ entry }: { entry: Entry }) {
  const changes = changesOf(entry.before, entry.after);
  if (changes.length === 0) return null;
  return (
    <details>
      <summary>
        {changes.length} {changes.length === 1 ? 'field' : 'fields'}
      </summary>
      <ul className="small">
        {changes.map(({ field, from, to }) => (
          <li key={field}>
            {field}: {from === null ? '' : `${from} → `}
            {to ?? 'nothing'}
          </li>
        ))}
      </ul>
    </details>
  );
}
