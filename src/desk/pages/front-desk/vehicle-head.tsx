import { useQuery } from '@tanstack/react-query';
import { useEffect, useRef } from 'react';
import { Link } from 'wouter';
import { ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { dayText } from '../../format/days';
import { distanceText } from '../../format/units';
import { useReader } from '../../session/session';
import { depotQuery, usageQuery, vehicleQuery } from './front-desk-queries';
import styles from './front-desk.module.css';
import { HoldMark } from './hold-state';
import { codeWords } from './visit-tasks';

/** Which vehicle the caller is on about. Takes the focus, so that keys are no letters of the search any more. */
export function VehicleHead({ vehicleId }: { vehicleId: string }) {
  const { data: vehicle, error } = useQuery(vehicleQuery(vehicleId));
  const { data: depot } = useQuery(depotQuery(vehicle?.depotId));
  const { data: usage } = useQuery(usageQuery(vehicleId));
  const { locale, distanceUnit } = useReader();
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => heading.current?.focus(), []);
  const reading = usage?.lastReading;
  return (
    <>
      <div className={styles.strip}>
        <h2 ref={heading} tabIndex={-1} className={styles.mark}>
          {vehicle?.registrationMark ?? 'Vehicle'}
        </h2>
        <HoldMark vehicleId={vehicleId} />
      </div>
      <ProblemNotice error={error} />
      {vehicle === undefined ? (
        error === null ? (
          <Waiting what="the vehicle" />
        ) : null
      ) : (
        <div className={styles.vehicle}>
          <dl className={styles.facts}>
            <Fact name="Fleet number">{vehicle.fleetNumber ?? 'none'}</Fact>
            <Fact name="Depot">{depot?.name ?? '…'}</Fact>
            <Fact name="Duty">{codeWords(usage?.model.dutyClass ?? vehicle.dutyClass)}</Fact>
            <Fact name="Odometer">
              {usage === undefined
                ? '…'
                : reading
                  ? `${distanceText(reading.total, distanceUnit, locale)} on ${dayText(reading.on, locale)}`
                  : 'never read'}
            </Fact>
            {vehicle.vin === null ? null : <Fact name="VIN">{vehicle.vin}</Fact>}
            {vehicle.retiredOn === null ? null : (
              <Fact name="Left the fleet">{dayText(vehicle.retiredOn, locale)}</Fact>
            )}
          </dl>
          <Link href={`/vehicles/${vehicleId}`}>Everything about this vehicle</Link>
        </div>
      )}
    </>
  );
}

function Fact({ name, children }: { name: string; children: React.ReactNode }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>{children}</dd>
    </div>
  );
}
