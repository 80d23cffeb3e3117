import { useQuery } from '@tanstack/react-query';
import { Link } from 'wouter';
import { ProblemNotice } from '../../../design/notice';
import { Waiting } from '../../../design/page';
import { StateMark } from '../../../design/state-mark';
import { dayText } from '../../../format/days';
import { useReader } from '../../../session/session';
import { positionWords } from '../../../format/words';
import { vehicleQueries } from '../vehicle-queries';
import { DUE_TONES, DUE_WORDS } from './due-words';

const SHOWN = 3;

/** What is most urgent on a vehicle. */
export function DueInShort({ vehicleId }: { vehicleId: string }) {
  const { locale } = useReader();
  const { data, error } = useQuery(vehicleQueries(vehicleId).dueItems);
  if (data === undefined)
    return error === null ? <Waiting what="what is due" /> : <ProblemNotice error={error} />;
  const urgent = data.items.filter(({ state }) => state !== 'not-due' && state !== 'undetermined');
  const first = urgent.length > 0 ? urgent : data.items.filter(({ dueOn }) => dueOn !== null);
  return (
    <section className="stack" aria-label="Due next">
      {first.length === 0 ? <p>Nothing has a date yet.</p> : null}
      <ul>
        {first.slice(0, urgent.length > 0 ? SHOWN : 1).map(({ id, state, title, position, dueOn }) => (
          <li key={id}>
            <StateMark tone={DUE_TONES[state]}>{DUE_WORDS[state]}</StateMark> {title}
            {position === null ? '' : `, ${positionWords(position).toLowerCase()}`}
            {dueOn === null ? '' : ` (${dayText(dueOn, locale)})`}
          </li>
        ))}
      </ul>
      {urgent.length > SHOWN ? (
        <p>
          <Link href={`/vehicles/${vehicleId}/due`}>And {urgent.length - SHOWN} more</Link>
        </p>
      ) : null}
    </section>
  );
}
