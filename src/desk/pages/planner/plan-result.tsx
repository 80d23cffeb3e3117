import { useQuery } from '@tanstack/react-query';
import { Link } from 'wouter';
import { Notice } from '../../design/notice';
import { useReader } from '../../session/session';
import { FiguresTable } from './figures-table';
import { differenceText, signedText } from './money';
import { gapWords, savingWords, type DowntimePlan, type PlanOutcome } from './plan-words';
import { comparison } from './planner-data';

/** What a plan comes to, beside what one would have without it. */
export function PlanResult({ plan, outcome }: { plan: DowntimePlan; outcome: PlanOutcome }) {
  const { locale } = useReader();
  const { currency } = outcome;
  return (
    <section className="sheet stack" aria-label="What the plan comes to">
      <h2>What it comes to</h2>
      <p>
        <strong>{gapWords(outcome.gapPercent, locale)}</strong> {savingWords(outcome, 'naive', locale)}{' '}
        {savingWords(outcome, 'booked', locale)}
        {outcome.stoppedEarly ? ' The search was stopped early.' : ''}
      </p>
      {plan.basedOnId === null ? null : <AgainstItsBase plan={plan} basedOnId={plan.basedOnId} />}
      <FiguresTable
        caption="Figures of the plan, of each piece of work on its due date, and of what is booked today"
        currency={currency}
        columns={[
          { key: 'plan', head: 'This plan', figures: outcome.plan },
          { key: 'naive', head: 'Each on its due date', figures: outcome.naive },
          { key: 'booked', head: 'Only what is booked today', figures: outcome.booked },
        ]}
      />
      <p className="small soft">
        Days late and risk count from the due date of each piece of work, also of what was overdue before the
        plan began.
      </p>
    </section>
  );
}

function AgainstItsBase({ plan, basedOnId }: { plan: DowntimePlan; basedOnId: string }) {
  const { locale } = useReader();
  const compared = useQuery(comparison(plan.id, basedOnId));
  const base = <Link href={`/planner/plans/${basedOnId}`}>the plan it was made from</Link>;
  // that one may never have become ready
  if (compared.data === undefined) return <p>Made from {base}.</p>;
  const { difference, currency } = compared.data;
  return (
    <Notice tone="info" title={<>Against {base}</>}>
      <p>
        {differenceText(difference.costMinor, currency, locale)}, visits{' '}
        {signedText(difference.visits, locale, 0)}, days late {signedText(difference.daysLate, locale, 0)},
        left out {signedText(difference.itemsLeftOut, locale, 0)}.
      </p>
    </Notice>
  );
}
