import { Notice } from '../../design/notice';
import { dayText } from '../../format/days';
import { useReader } from '../../session/session';
import type { FreeTimes } from './front-desk-queries';

interface NothingFreeProps {
  nothing: NonNullable<FreeTimes['nothingFree']>;
  /** how far was asked for */
  untilAt: string;
}

/** Why there is no free time, what would help, and when there is one again. */
export function NothingFree({ nothing, untilAt }: NothingFreeProps) {
  const { locale } = useReader();
  const { sentence, remedies, firstFit, searchedUntilAt } = nothing;
  const day = (at: string): string => dayText(at.slice(0, 10), locale);
  return (
    <Notice tone="warn" title={`Nothing is free up to ${day(untilAt)}. ${sentence}`}>
      {remedies.length === 0 ? (
        <p>No single change would help: ask for less work, or another workshop.</p>
      ) : (
        <>
          <p>What would help:</p>
          <ul>
            {remedies.map(({ scarcity, sentence: help, firstStartsAt }) => (
              <li key={scarcity}>
                {help} It could start on {day(firstStartsAt)}.
              </li>
            ))}
          </ul>
        </>
      )}
      <p>
        {firstFit === null
          ? `Nothing fits up to ${day(searchedUntilAt)} either.`
          : 'As things are, the first time after that is:'}
      </p>
    </Notice>
  );
}
