import { useMemo } from 'react';
import { Link } from 'wouter';
import { Button } from '../../design/button';
import { DataTable, type Column } from '../../design/data-table';
import { StateMark } from '../../design/state-mark';
import { countedTitles } from '../../format/counted-titles';
import { dayText, minutesText } from '../../format/days';
import { numberText } from '../../format/units';
import { useReader } from '../../session/session';
import { moneyText } from './money';
import { ACCEPTANCES } from './plan-words';
import { lockOf, type PlannedVisit, type Wishes } from './plan-wishes';

interface VisitsTableProps {
  visits: PlannedVisit[];
  wishes: Wishes;
  currency: string;
  onOpen: (visitId: string) => void;
}

export function VisitsTable({ visits, wishes, currency, onOpen }: VisitsTableProps) {
  const { locale } = useReader();
  const columns = useMemo(
    (): Column<PlannedVisit>[] => [
      {
        id: 'on',
        header: 'Day',
        accessorFn: ({ on }) => on,
        cell: ({ row: { original } }) =>
          original.lastOn === original.on
            ? dayText(original.on, locale)
            : `${dayText(original.on, locale)} to ${dayText(original.lastOn, locale)}`,
      },
      {
        id: 'vehicle',
        header: 'Vehicle',
        accessorFn: ({ registrationMark }) => registrationMark,
        cell: ({ row: { original } }) => (
          <Link href={`/vehicles/${original.vehicleId}`}>{original.registrationMark}</Link>
        ),
      },
      { id: 'depot', header: 'Depot', accessorFn: ({ depotName }) => depotName },
      { id: 'workshop', header: 'Workshop', accessorFn: ({ workshopName }) => workshopName },
      {
        id: 'work',
        header: 'Work',
        accessorFn: ({ items }) => items.length,
        cell: ({ row: { original } }) => (
          <>
            {countedTitles(original.items).map(({ title, count }) => (
              <div key={title}>
                {title}
                {count === 1 ? '' : ` (${numberText(count, locale, 0)})`}
              </div>
            ))}
          </>
        ),
      },
      {
        id: 'minutes',
        header: 'Time',
        accessorFn: ({ workMinutes }) => workMinutes,
        cell: ({ row: { original } }) => minutesText(original.workMinutes),
      },
      {
        id: 'cost',
        header: 'Cost',
        accessorFn: ({ visitCostMinor, itemCostMinor }) => visitCostMinor + itemCostMinor,
        cell: ({ row: { original } }) =>
          moneyText(original.visitCostMinor + original.itemCostMinor, currency, locale),
      },
      {
        id: 'state',
        header: 'State',
        accessorFn: ({ acceptance }) => acceptance,
        cell: ({ row: { original } }) => <VisitState visit={original} wishes={wishes} />,
      },
      {
        id: 'open',
        header: () => <span className="unseen">Open</span>,
        enableSorting: false,
        cell: ({ row: { original } }) => (
          <Button
            onClick={() => onOpen(original.id)}
            aria-label={`Open the visit of ${original.registrationMark} on ${dayText(original.on, locale)}`}
          >
            Open
          </Button>
        ),
      },
    ],
    [currency, locale, onOpen, wishes],
  );
  return (
    <DataTable
      caption="Visits of the plan"
      columns={columns}
      rows={visits}
      rowId={({ id }) => id}
      empty="Nothing is due that a visit could do."
    />
  );
}

export function VisitState({ visit, wishes }: { visit: PlannedVisit; wishes: Wishes }) {
  const { locale } = useReader();
  const { words, tone } = ACCEPTANCES[visit.acceptance];
  const lock = visit.acceptance === 'booked' ? undefined : lockOf(wishes, visit);
  return (
    <span className="stack">
      <StateMark tone={tone}>{words}</StateMark>
      {lock === undefined ? null : (
        <StateMark tone="info">
          {lock.on === visit.on ? 'Locked' : `To be moved to ${dayText(lock.on, locale)}`}
        </StateMark>
      )}
      {visit.startsAt === null && visit.acceptance === 'open' ? (
        <StateMark tone="warn">No free time in the diary</StateMark>
      ) : null}
    </span>
  );
}
