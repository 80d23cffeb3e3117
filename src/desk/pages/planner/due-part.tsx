import { useQuery } from '@tanstack/react-query';
import { useMemo, useState } from 'react';
import { useSearchParams } from 'wouter';
import { addDays } from '../../../core/shared/calendar-date';
import { ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { CheckField, SelectField } from '../../design/field';
import { todayOn } from '../../format/days';
import { DueList } from './due-list';
import { dueMatrix, mondayOf } from './due-matrix';
import { DueMatrixTable } from './due-matrix-table';
import { depots, dueItems, fleets } from './planner-data';
import { PlannerPart } from './planner-part';

const WEEKS = [6, 13, 26] as const;

/** Due work by depot and ISO week; a cell opens its list. */
export default function DuePart() {
  const [search, setSearch] = useSearchParams();
  const [weeks, setWeeks] = useState<number>(13);
  const [fleetId, setFleetId] = useState('');
  const [onlySafety, setOnlySafety] = useState(false);
  const names = useQuery(depots);
  const allFleets = useQuery(fleets);
  const fromOn = todayOn(names.data?.[0]?.zone ?? 'utc');
  const due = useQuery({
    ...dueItems({
      dueUntil: addDays(mondayOf(fromOn), 7 * weeks - 1),
      fleetId: fleetId === '' ? undefined : fleetId,
      safetyCritical: onlySafety ? true : undefined,
    }),
    enabled: names.data !== undefined,
    placeholderData: (before) => before,
  });
  const matrix = useMemo(() => {
    const own = (names.data ?? [])
      .filter((depot) => fleetId === '' || depot.fleetId === fleetId)
      .sort((a, b) => a.name.localeCompare(b.name));
    return dueMatrix(due.data ?? [], own, fromOn, weeks);
  }, [due.data, names.data, fleetId, fromOn, weeks]);
  const [depotId, key] = [search.get('depot'), search.get('week')];
  const row = matrix.rows.find((each) => each.depotId === depotId);
  const column = matrix.columns.findIndex((each) => each.key === key);
  const open = column < 0 ? undefined : row?.cells[column];

  return (
    <PlannerPart title="Due work" lead="What falls due, by depot and ISO week. A field opens its list.">
      <div className="columns screen-only">
        <SelectField
          label="Look ahead"
          value={weeks}
          onChange={(event) => setWeeks(Number(event.target.value))}
        >
          {WEEKS.map((count) => (
            <option key={count} value={count}>
              {count} weeks
            </option>
          ))}
        </SelectField>
        <SelectField label="Fleet" value={fleetId} onChange={(event) => setFleetId(event.target.value)}>
          <option value="">All fleets</option>
          {(allFleets.data ?? []).map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </SelectField>
        <CheckField
          label="Only safety-critical work"
          checked={onlySafety}
          onChange={(event) => setOnlySafety(event.target.checked)}
        />
      </div>
      <ProblemNotice error={names.error ?? due.error} />
      {due.isPending ? (
        <Waiting what="due work" />
      ) : (
        <DueMatrixTable
          matrix={matrix}
          open={{ depotId, key }}
          onOpen={(depot, week) => setSearch({ depot, week }, { replace: true })}
        />
      )}
      {row === undefined || open === undefined ? null : (
        <DueList
          key={`${row.depotId} ${key ?? ''}`}
          depot={row.name}
          weekOn={matrix.columns[column]?.weekOn ?? null}
          items={open.items}
          onClose={() => setSearch({}, { replace: true })}
        />
      )}
    </PlannerPart>
  );
}
