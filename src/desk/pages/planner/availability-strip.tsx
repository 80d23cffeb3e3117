import { useState, type CSSProperties } from 'react';
import { Link } from 'wouter';
import { isoWeekday } from '../../../core/shared/calendar-date';
import type { Schemas } from '../../api/client';
import { StateMark } from '../../design/state-mark';
import { dayInYearText, dayText } from '../../format/days';
import { numberText } from '../../format/units';
import { useReader } from '../../session/session';
import styles from './availability-strip.module.css';

type DepotDays = Schemas['DepotDaysDto'];
type DepotDay = Schemas['DepotDayDto'];

const missing = ({ neededOnRoad, onRoad }: DepotDay): number => Math.max(0, neededOnRoad - onRoad);

const firstWeekday = ({ days: [first] }: DepotDays): CSSProperties =>
  ({ '--first-weekday': first === undefined ? 1 : isoWeekday(first.on) }) as CSSProperties;

/** The days of a depot side by side; a day opens who is away. */
export function AvailabilityStrip({ depot }: { depot: DepotDays }) {
  const { locale } = useReader();
  const [openOn, setOpenOn] = useState<string | null>(null);
  const short = depot.days.filter((day) => missing(day) > 0).length;
  const number = (value: number): string => numberText(value, locale, 0);
  return (
    <>
      <p>
        {short === 0 ? (
          <StateMark tone="good">As many as the roster needs on every day</StateMark>
        ) : (
          <StateMark tone="bad">
            Fewer than the roster needs on {number(short)} of {number(depot.days.length)} days
          </StateMark>
        )}
      </p>
      <ol className={styles.strip} aria-label={`${depot.name} by day`} style={firstWeekday(depot)}>
        {depot.days.map((day) => (
          <li key={day.on}>
            <button
              type="button"
              className={`${styles.day} ${missing(day) > 0 ? styles.short : ''}`}
              aria-expanded={openOn === day.on}
              onClick={() => setOpenOn(openOn === day.on ? null : day.on)}
            >
              <span className="small">{dayInYearText(day.on, locale)}</span>
              <strong>
                {number(day.onRoad)}
                <span className="unseen"> on the road, </span>
                <span aria-hidden="true"> / </span>
                {number(day.neededOnRoad)}
                <span className="unseen"> needed</span>
              </strong>
              <span className="small">
                {[
                  missing(day) > 0 ? `■ ${number(missing(day))} short` : '',
                  day.booked > 0 ? `${number(day.booked)} booked` : '',
                  day.offRoad > 0 ? `${number(day.offRoad)} off road` : '',
                ]
                  .filter((each) => each !== '')
                  .join(', ')}
              </span>
            </button>
          </li>
        ))}
      </ol>
      {openOn === null ? null : <WhoIsAway depot={depot} on={openOn} />}
    </>
  );
}

function WhoIsAway({ depot, on }: { depot: DepotDays; on: string }) {
  const { locale } = useReader();
  const away = depot.away.filter(({ fromOn, untilOn }) => fromOn <= on && on < untilOn);
  return (
    <div className="stack" role="status">
      <h3>Away on {dayText(on, locale)}</h3>
      {away.length === 0 ? <p className="soft">Every vehicle is there.</p> : null}
      <ul>
        {away.map(({ vehicleId, registrationMark, cause, causeId, untilOn }) => (
          <li key={causeId}>
            <Link href={`/vehicles/${vehicleId}`}>{registrationMark}</Link>:{' '}
            {cause === 'booking' ? 'booked in a workshop' : 'off the road'}, back {dayText(untilOn, locale)}
          </li>
        ))}
      </ul>
    </div>
  );
}
