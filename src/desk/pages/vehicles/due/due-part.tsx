import { useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import { Link } from 'wouter';
import { DataTable, type Column } from '../../../design/data-table';
import { ProblemNotice } from '../../../design/notice';
import { Waiting } from '../../../design/page';
import { StateMark } from '../../../design/state-mark';
import { dayText } from '../../../format/days';
import { distanceText } from '../../../format/units';
import { useHasRole, useReader, type Reader } from '../../../session/session';
import { vehicleQueries, type DueItem } from '../vehicle-queries';
import type { VehiclePartProps } from '../vehicle-part-props';
import { positionWords } from '../../../format/words';
import { useTold } from '../../../session/use-told';
import { ChangeDuty } from './change-duty';
import { driverWords, DUE_TONES, DUE_WORDS } from './due-words';
import { WhyDue } from './why-due';

/** Everything that is due on the vehicle, each with its working on demand. */
export default function DuePart({ vehicle, zone }: VehiclePartProps) {
  const reader = useReader();
  const mayChangeDuty = useHasRole('fleet-planner', 'front-desk', 'administrator');
  const { data, error } = useQuery(vehicleQueries(vehicle.id).dueItems);
  const columns = useMemo(() => columnsFor(reader), [reader]);
  if (data === undefined)
    return error === null ? <Waiting what="what is due" /> : <ProblemNotice error={error} />;
  return (
    <section className="stack" aria-labelledby="due">
      <h2 id="due">What is due</h2>
      <p className="small soft">
        On {dayText(data.todayOn, reader.locale)}, the day at the depot. A forecast advises; the maker&apos;s
        schedule decides.
      </p>
      <DataTable
        caption={`What is due on ${vehicle.registrationMark}`}
        columns={columns}
        rows={data.items}
        rowId={({ id }) => id}
        empty="Nothing is due: no service programme applies to this vehicle yet."
      />
      {mayChangeDuty ? <ChangeDuty vehicle={vehicle} zone={zone} /> : null}
    </section>
  );
}

function columnsFor({ locale, distanceUnit }: Reader): Column<DueItem>[] {
  return [
    {
      header: 'State',
      accessorFn: ({ dueOn }) => dueOn ?? '9999',
      sortFn: 'text',
      cell: ({ row: { original } }) => (
        <StateMark tone={DUE_TONES[original.state]}>{DUE_WORDS[original.state]}</StateMark>
      ),
    },
    {
      header: 'Work',
      accessorKey: 'title',
      sortFn: 'text',
      cell: ({ row: { original } }) => <WorkOf item={original} />,
    },
    {
      header: 'Due',
      accessorFn: ({ dueOn }) => dueOn ?? '9999',
      sortFn: 'text',
      cell: ({ row: { original } }) => {
        const { dueOn, lateOn, dueOdometerKm, driver } = original;
        if (dueOn === null) return original.beyondHorizon ? 'Later than is forecast' : 'Cannot be told';
        return (
          <>
            {dayText(dueOn, locale)}
            {dueOdometerKm === null ? '' : ` or ${distanceText(dueOdometerKm, distanceUnit, locale)} in all`}
            <br />
            <span className="small soft">
              by {driverWords(driver)}
              {lateOn === null ? '' : `; overdue after ${dayText(lateOn, locale)}`}
            </span>
          </>
        );
      },
    },
    {
      id: 'why',
      header: 'Working',
      enableSorting: false,
      cell: ({ row: { original } }) => <WhyDue item={original} />,
    },
  ];
}

function WorkOf({ item: { title, position, unitId, safetyCritical, missing } }: { item: DueItem }) {
  const told = useTold();
  const where = position === null ? null : positionWords(position);
  return (
    <>
      {title}
      {where === null ? null : <br />}
      {where === null ? null : unitId === null ? where : <Link href={`/units/${unitId}`}>{where}</Link>}
      {safetyCritical ? (
        <>
          <br />
          <strong className="small">Safety-critical</strong>
        </>
      ) : null}
      {missing.map(({ sentence }) => (
        <span key={sentence} className="small soft">
          <br />
          {told(sentence)}
        </span>
      ))}
    </>
  );
}
