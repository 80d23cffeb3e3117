import { useQuery } from '@tanstack/react-query';
import { Link } from 'wouter';
import { ProblemNotice } from '../../design/notice';
import { useReader } from '../../session/session';
import { dayText } from '../../format/days';
import { ItemReasons } from './item-reasons';
import { leftOutItems } from './planner-data';

/** Work that no visit of the plan does, with what would make room for it. */
export function LeftOutWork({ planId, currency }: { planId: string; currency: string }) {
  const { locale } = useReader();
  const items = useQuery(leftOutItems(planId));
  if (items.isError) return <ProblemNotice error={items.error} />;
  if ((items.data ?? []).length === 0) return null;
  return (
    <section className="sheet stack" aria-label="Left out">
      <h2>Left out</h2>
      <ul className="stack">
        {(items.data ?? []).map((item) => (
          <li key={item.id}>
            <Link href={`/vehicles/${item.vehicleId}`}>{item.registrationMark}</Link>: {item.title}, due{' '}
            {dayText(item.dueOn, locale)}
            <ItemReasons item={item} currency={currency} />
          </li>
        ))}
      </ul>
    </section>
  );
}
