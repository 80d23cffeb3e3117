import type { Schemas } from '../../api/client';
import { StateMark } from '../../design/state-mark';
import { dayText } from '../../format/days';
import { useReader } from '../../session/session';
import { useTold } from '../../session/use-told';
import { moneyText } from './money';
import { REASONS } from './plan-words';

/** Why a piece of work is on its day, or on none, and what would bring it nearer to its due date. */
export function ItemReasons({ item, currency }: { item: Schemas['PlannedItemDto']; currency: string }) {
  const { locale } = useReader();
  const told = useTold();
  const { words, tone } = REASONS[item.reason];
  return (
    <div>
      <StateMark tone={tone}>{words}</StateMark>
      <p>{told(item.because)}</p>
      {item.relaxations.length === 0 ? null : (
        <ul className="small">
          {item.relaxations.map(({ what, savesMinor, thenOn }) => (
            <li key={what}>
              With {what}: {thenOn === null ? 'no other day' : dayText(thenOn, locale)}, saves{' '}
              {moneyText(savesMinor, currency, locale)}
            </li>
          ))}
        </ul>
      )}
    </div>
  );
}
