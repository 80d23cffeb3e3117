import { useQuery } from '@tanstack/react-query';
import { dayText, minutesText, timeText } from '../../format/days';
import { useReader } from '../../session/session';
import { workshopNamesQuery, workshopsQuery, type Booking } from './front-desk-queries';
import { localDay, spanText } from './offers';
import styles from './front-desk.module.css';
import { taskWords } from './visit-tasks';

/** A booking as it is read out to the caller. */
export function VisitText({ booking }: { booking: Booking }) {
  const { locale } = useReader();
  const { data: workshops } = useQuery(workshopsQuery);
  const { data: names } = useQuery(workshopNamesQuery(booking.workshopId));
  const workshop = workshops?.find(({ id }) => id === booking.workshopId);
  const zone = workshop?.zone;
  if (zone === undefined || names === undefined) return null;
  const { startsAt, endsAt, bayFromAt, bayId, technicianIds, workMinutes, items, extraWork } = booking;
  const work = [...items, ...extraWork.map((extra) => ({ ...extra, position: null }))];
  return (
    <>
      <p className={styles.when}>
        {dayText(localDay(startsAt, zone), locale)}, {spanText(startsAt, endsAt, zone, locale)}
      </p>
      <p>
        {workshop?.name}, {names.get(bayId) ?? 'a bay out of use'}, with{' '}
        {technicianIds.map((id) => names.get(id) ?? 'somebody who has left').join(' and ')}. Bring it by{' '}
        <strong>{timeText(bayFromAt, zone, locale)}</strong>.
      </p>
      <details>
        <summary className={styles.more}>
          {work.length} {work.length === 1 ? 'task' : 'tasks'}, {minutesText(workMinutes)}
        </summary>
        <ul>
          {work.map((task, index) => (
            <li key={index}>{taskWords(task)}</li>
          ))}
        </ul>
      </details>
    </>
  );
}
