import { useQuery } from '@tanstack/react-query';
import { Notice, ProblemNotice } from '../../../design/notice';
import { Waiting } from '../../../design/page';
import { dayText, momentText } from '../../../format/days';
import { useHasRole, useReader } from '../../../session/session';
import type { VehiclePartProps } from '../vehicle-part-props';
import { vehicleQueries } from '../vehicle-queries';
import { LiftHold } from './lift-hold';
import { OverrideForm } from './override-form';
import { Overrides } from './overrides';
import { PlaceHold } from './place-hold';

/** What keeps the vehicle off the road, and what those who may can do about it. */
export default function HoldsPart({ vehicle, zone }: VehiclePartProps) {
  const { locale } = useReader();
  const mayDecide = useHasRole('fleet-planner', 'administrator');
  const { data, error } = useQuery(vehicleQueries(vehicle.id).hold);
  if (data === undefined)
    return error === null ? <Waiting what="the holds" /> : <ProblemNotice error={error} />;
  const standing = data.reasons.filter(
    ({ overriddenBy, holdId }) => overriddenBy === null && holdId === null,
  );
  return (
    <section className="stack" aria-labelledby="holds">
      <h2 id="holds">Holds</h2>
      {data.manualHolds.length === 0 ? <p className="soft">Nobody has placed a hold.</p> : null}
      <ul className="stack">
        {data.manualHolds.map((hold) => (
          <li key={hold.id}>
            {hold.reason}
            <br />
            <span className="small soft">
              {hold.placedBy}, {momentText(hold.placedAt, zone, locale)}
            </span>
            {mayDecide ? <LiftHold vehicleId={vehicle.id} hold={hold} /> : null}
          </li>
        ))}
      </ul>
      {data.overrides.length === 0 ? null : (
        <Notice tone="warn" title="Overrides in force">
          <ul>
            {data.overrides.map(({ id, namedPerson, statement, untilOn }) => (
              <li key={id}>
                {namedPerson}, until {dayText(untilOn, locale)}: {statement}
              </li>
            ))}
          </ul>
        </Notice>
      )}
      <PlaceHold vehicleId={vehicle.id} />
      {mayDecide && standing.length > 0 ? (
        <OverrideForm vehicleId={vehicle.id} todayOn={data.todayOn} reasons={standing} />
      ) : null}
      {data.cautions.length === 0 ? null : (
        <Notice tone="warn" title="Before anybody works on it or moves it">
          <ul>
            {data.cautions.map(({ code, text }) => (
              <li key={code}>{text}</li>
            ))}
          </ul>
        </Notice>
      )}
      <Overrides vehicleId={vehicle.id} zone={zone} />
    </section>
  );
}
