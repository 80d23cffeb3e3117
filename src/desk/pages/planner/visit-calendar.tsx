import { useQuery } from '@tanstack/react-query';
import { useMemo, useState, type CSSProperties } from 'react';
import { addDays, daysBetween } from '../../../core/shared/calendar-date';
import { Button } from '../../design/button';
import { dayText, weekText } from '../../format/days';
import { useReader } from '../../session/session';
import { mondaysOf, placeInStrip } from './day-strip';
import type { DowntimePlan } from './plan-words';
import { lockOf, type PlannedVisit, type Wishes } from './plan-wishes';
import { depotDays } from './planner-data';
import styles from './visit-calendar.module.css';

const MANY = 40;

interface VisitCalendarProps {
  plan: DowntimePlan;
  visits: readonly PlannedVisit[];
  wishes: Wishes;
  onOpen: (visitId: string) => void;
}

/** A line of days for each vehicle: its visits, what is booked already, and days on which it stays on the road. */
export function VisitCalendar({ plan, visits, wishes, onOpen }: VisitCalendarProps) {
  const { locale } = useReader();
  const [shown, setShown] = useState(MANY);
  const strip = useMemo(
    () => ({ fromOn: plan.fromOn, dayCount: daysBetween(plan.fromOn, plan.untilOn) }),
    [plan.fromOn, plan.untilOn],
  );
  const away = useQuery(depotDays({ fleetId: plan.fleetId, from: plan.fromOn, days: strip.dayCount }));
  const lines = useMemo(() => {
    const byVehicle = new Map<string, PlannedVisit[]>();
    for (const visit of visits)
      byVehicle.set(visit.vehicleId, [...(byVehicle.get(visit.vehicleId) ?? []), visit]);
    return [...byVehicle.entries()].sort(([, [a]], [, [b]]) =>
      (a?.registrationMark ?? '').localeCompare(b?.registrationMark ?? '', locale),
    );
  }, [visits, locale]);
  const placed = (days: { fromOn: string; lastOn: string }): CSSProperties => {
    const place = placeInStrip(days, strip);
    return place === null
      ? { display: 'none' }
      : { insetInlineStart: `${place.start * 100}%`, width: `${place.length * 100}%` };
  };
  const booked = (away.data?.depots ?? []).flatMap((depot) => depot.away);
  if (lines.length === 0) return null;
  return (
    <div className="stack">
      <p className="small">Filled: a visit of this plan. Framed: away already. Crossed: stays on the road.</p>
      <div className="scroll" role="region" aria-label="Visits by vehicle and day" tabIndex={0}>
        <div className={styles.calendar} style={{ '--days': strip.dayCount } as CSSProperties}>
          <div className={styles.head} aria-hidden="true">
            {mondaysOf(strip).map((on) => (
              <span key={on} className={styles.week} style={placed({ fromOn: on, lastOn: on })}>
                {weekText(on)}
              </span>
            ))}
          </div>
          <ul>
            {lines.slice(0, shown).map(([vehicleId, own]) => (
              <li key={vehicleId}>
                <strong>{own[0]?.registrationMark}</strong>
                <div className={styles.track}>
                  {booked
                    .filter((each) => each.vehicleId === vehicleId)
                    .map(({ causeId, cause, fromOn, untilOn }) => (
                      <span
                        key={causeId}
                        className={styles.away}
                        style={placed({ fromOn, lastOn: addDays(untilOn, -1) })}
                        title={cause === 'booking' ? 'Booked already' : 'Off the road'}
                      />
                    ))}
                  {wishes.forbidden
                    .filter((each) => each.vehicleId === vehicleId)
                    .map(({ on }) => (
                      <span key={on} className={styles.forbidden} style={placed({ fromOn: on, lastOn: on })}>
                        ×
                      </span>
                    ))}
                  {own.map((visit) => (
                    <button
                      key={visit.id}
                      type="button"
                      className={styles.visit}
                      style={placed({ fromOn: visit.on, lastOn: visit.lastOn })}
                      onClick={() => onOpen(visit.id)}
                      aria-label={`${visit.registrationMark}, ${dayText(visit.on, locale)}, ${visit.workshopName}${lockOf(wishes, visit) === undefined ? '' : ', locked'}`}
                    >
                      {visit.acceptance === 'booked' ? '✓' : lockOf(wishes, visit) === undefined ? '' : '■'}
                    </button>
                  ))}
                </div>
              </li>
            ))}
          </ul>
        </div>
      </div>
      {lines.length > shown ? (
        <Button onClick={() => setShown(shown + MANY)}>Show more vehicles</Button>
      ) : null}
    </div>
  );
}
