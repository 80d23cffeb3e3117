import { useQueries } from '@tanstack/react-query';
import { Link } from 'wouter';
import { ProblemNotice } from '../../design/notice';
import { useReader } from '../../session/session';
import { FiguresTable } from './figures-table';
import { differenceText, signedText } from './money';
import { gapWords, type DowntimePlan } from './plan-words';
import { comparison } from './planner-data';

/** Plans side by side; the first is what the others are held against. */
export function PlanComparison({ plans }: { plans: readonly DowntimePlan[] }) {
  const { locale } = useReader();
  const [first, ...others] = plans;
  const compared = useQueries({
    queries: others.map(({ id }) => comparison(id, first?.id ?? '')),
  });
  if (first?.outcome == null) return null;
  return (
    <section className="sheet stack" aria-label="Side by side">
      <h2>Side by side</h2>
      <ul>
        {others.map(({ id, name }, at) => {
          const answer = compared[at];
          if (answer?.data === undefined) return null;
          const { difference, currency } = answer.data;
          return (
            <li key={id}>
              <strong>{name}</strong> against {first.name}:{' '}
              {differenceText(difference.costMinor, currency, locale)}, days late{' '}
              {signedText(difference.daysLate, locale, 0)}, after their late limit{' '}
              {signedText(difference.itemsTooLate, locale, 0)}, left out{' '}
              {signedText(difference.itemsLeftOut, locale, 0)}.
            </li>
          );
        })}
      </ul>
      <ProblemNotice error={compared.find(({ isError }) => isError)?.error} />
      <FiguresTable
        caption="Figures of the plans side by side"
        currency={first.outcome.currency}
        columns={plans.flatMap(({ id, name, outcome }) =>
          outcome === null || outcome.currency !== first.outcome?.currency
            ? []
            : [{ key: id, head: <Link href={`/planner/plans/${id}`}>{name}</Link>, figures: outcome.plan }],
        )}
      />
      <ul className="small">
        {plans.map(({ id, name, outcome }) =>
          outcome === null ? null : (
            <li key={id}>
              {name}: {gapWords(outcome.gapPercent, locale)}
            </li>
          ),
        )}
      </ul>
      <p className="small soft">
        A difference smaller than what is not proven of either plan can be chance of the search.
      </p>
    </section>
  );
}
