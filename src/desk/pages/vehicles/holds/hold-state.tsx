import { useQuery } from '@tanstack/react-query';
import { Link } from 'wouter';
import { Notice, ProblemNotice } from '../../../design/notice';
import { Waiting } from '../../../design/page';
import { useReader } from '../../../session/session';
import { dayText } from '../../../format/days';
import { vehicleQueries } from '../vehicle-queries';
import { asSentence } from '../../../format/words';
import { useTold } from '../../../session/use-told';

/** Whether a vehicle may go to the road, and every reason why not. */
export function HoldState({ vehicleId }: { vehicleId: string }) {
  const { locale } = useReader();
  const told = useTold();
  const { data, error } = useQuery(vehicleQueries(vehicleId).hold);
  if (data === undefined)
    return error === null ? <Waiting what="whether it is on hold" /> : <ProblemNotice error={error} />;
  const { onHold, reasons } = data;
  if (!onHold && reasons.length === 0) return <Notice tone="good" title="Not on hold" />;
  return (
    <Notice
      tone={onHold ? 'bad' : 'warn'}
      title={onHold ? 'On hold: do not release it to the road' : 'Not on hold: every reason is overridden'}
    >
      <ul>
        {reasons.map(({ key, text, overriddenBy }) => (
          <li key={key}>
            {asSentence(told(text))}
            {overriddenBy === null
              ? ''
              : ` (overridden by ${overriddenBy.namedPerson} until ${dayText(overriddenBy.untilOn, locale)})`}
          </li>
        ))}
      </ul>
      <p>
        <Link href={`/vehicles/${vehicleId}/holds`}>Holds and overrides</Link>
      </p>
    </Notice>
  );
}
