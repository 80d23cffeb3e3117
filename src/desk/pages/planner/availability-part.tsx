import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'wouter';
import { SelectField } from '../../design/field';
import { Notice, ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { AvailabilityStrip } from './availability-strip';
import { depotDays, fleets } from './planner-data';
import { PlannerPart } from './planner-part';

const DAYS = [14, 28, 84] as const;

/** Vehicles that each depot has for its roster, day by day. */
export default function AvailabilityPart() {
  const [days, setDays] = useState<number>(28);
  const [fleetId, setFleetId] = useState('');
  const allFleets = useQuery(fleets);
  const availability = useQuery({
    ...depotDays({ days, fleetId: fleetId === '' ? undefined : fleetId }),
    placeholderData: (before) => before,
  });
  return (
    <PlannerPart
      title="Availability"
      lead="Vehicles that the roster needs against those that are there. Off-road periods and bookings count."
    >
      <div className="columns screen-only">
        <SelectField
          label="Look ahead"
          value={days}
          onChange={(event) => setDays(Number(event.target.value))}
        >
          {DAYS.map((count) => (
            <option key={count} value={count}>
              {count} days
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
      </div>
      <ProblemNotice error={availability.error} />
      {availability.isPending ? <Waiting what="availability" /> : null}
      {availability.data?.depots.length === 0 ? <Notice tone="info" title="There is no depot here." /> : null}
      {(availability.data?.depots ?? []).map((depot) => (
        <section key={depot.depotId} className="sheet stack" aria-label={depot.name}>
          <h2>{depot.name}</h2>
          {depot.isDefaultRoster ? (
            <p className="soft">
              Nothing is set about what this depot needs. <Link href="/planner/settings">Set its roster</Link>
            </p>
          ) : null}
          <AvailabilityStrip depot={depot} />
        </section>
      ))}
    </PlannerPart>
  );
}
