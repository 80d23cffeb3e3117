import { useQuery } from '@tanstack/react-query';
import { lazy, Suspense, type ComponentType } from 'react';
import { Link, useParams } from 'wouter';
import { ProblemNotice } from '../../design/notice';
import { Page, Waiting } from '../../design/page';
import type { Role } from '../../session/session';
import { dayText } from '../../format/days';
import { useReader } from '../../session/session';
import { DueInShort } from './due/due-in-short';
import { HoldState } from './holds/hold-state';
import { depotsQuery, vehicleQueries } from './vehicle-queries';
import { inWords } from '../../format/words';
import styles from './vehicle-page.module.css';
import type { VehiclePartProps } from './vehicle-part-props';

interface VehiclePart {
  path: string;
  name: string;
  roles?: readonly Role[];
  part: ComponentType<VehiclePartProps>;
}

// the address of each is that of the vehicle and its path
const PARTS: readonly VehiclePart[] = [
  { path: '', name: 'Fluid system', part: lazy(() => import('./system/system-part')) },
  { path: 'layout', name: 'What was seen', part: lazy(() => import('./system/layout-part')) },
  { path: 'due', name: 'What is due', part: lazy(() => import('./due/due-part')) },
  { path: 'distance', name: 'Distance', part: lazy(() => import('./distance/distance-part')) },
  { path: 'history', name: 'Service history', part: lazy(() => import('./history/history-part')) },
  { path: 'days', name: 'Bookings and days', part: lazy(() => import('./days/days-part')) },
  { path: 'holds', name: 'Holds', part: lazy(() => import('./holds/holds-part')) },
  {
    path: 'record',
    name: 'Who did what',
    roles: ['fleet-planner', 'administrator'],
    part: lazy(() => import('./history/audit-part')),
  },
];

export default function VehiclePage() {
  const { vehicleId, '*': path = '' } = useParams<{ vehicleId: string; '*'?: string }>();
  const { locale, session } = useReader();
  const { role } = session.person;
  const { data: vehicle, error } = useQuery(vehicleQueries(vehicleId).vehicle);
  // the record itself says only which duty it began with
  const { data: usage } = useQuery(vehicleQueries(vehicleId).usage);
  const { data: depots } = useQuery(depotsQuery);
  const depot = depots?.find(({ id }) => id === vehicle?.depotId);
  if (vehicle === undefined || depot === undefined)
    return (
      <Page title="Vehicle">
        {error === null ? <Waiting what="the vehicle" /> : <ProblemNotice error={error} />}
      </Page>
    );
  const open = PARTS.filter(({ roles }) => roles === undefined || roles.includes(role));
  const shown = open.find((each) => each.path === path);
  return (
    <Page
      title={vehicle.registrationMark}
      lead={[
        vehicle.fleetNumber === null ? '' : `Fleet number ${vehicle.fleetNumber}`,
        depot.name,
        inWords(usage?.model.dutyClass ?? vehicle.dutyClass),
        vehicle.vin === null ? '' : `VIN ${vehicle.vin}`,
        vehicle.retiredOn === null ? '' : `left the fleet on ${dayText(vehicle.retiredOn, locale)}`,
      ]
        .filter((each) => each !== '')
        .join(' · ')}
      tools={<Link href="/vehicles">All vehicles</Link>}
    >
      <div className="columns">
        <HoldState vehicleId={vehicleId} />
        <DueInShort vehicleId={vehicleId} />
      </div>
      <nav aria-label={`Parts of ${vehicle.registrationMark}`}>
        <ul className={styles.parts}>
          {open.map((each) => (
            <li key={each.path}>
              <Link
                href={`/vehicles/${vehicleId}${each.path === '' ? '' : `/${each.path}`}`}
                aria-current={each === shown ? 'page' : undefined}
              >
                {each.name}
              </Link>
            </li>
          ))}
        </ul>
      </nav>
      {shown === undefined ? (
        <p>There is no such part of the vehicle, or it is not for your role.</p>
      ) : (
        <Suspense fallback={<Waiting what={shown.name} />}>
          <shown.part key={vehicleId} vehicle={vehicle} zone={depot.zone} />
        </Suspense>
      )}
    </Page>
  );
}
