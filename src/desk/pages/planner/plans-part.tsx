import { useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import { Link } from 'wouter';
import { DataTable, type Column } from '../../design/data-table';
import { Notice, ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { StateMark } from '../../design/state-mark';
import { dayText } from '../../format/days';
import { useReader } from '../../session/session';
import { moneyText } from './money';
import { gapWords, PLAN_STATES, type DowntimePlan } from './plan-words';
import { plans } from './planner-data';
import { PlannerPart, useMayPlan } from './planner-part';
import { StartPlanForm } from './start-plan-form';

const REREAD_MS = 5_000;

/** The plans there are, and how to start one. */
export default function PlansPart() {
  const mayPlan = useMayPlan();
  const all = useQuery({
    ...plans,
    // one that is being made changes by itself
    refetchInterval: ({ state }) =>
      state.data?.some((plan) => plan.state === 'queued' || plan.state === 'running') === true
        ? REREAD_MS
        : false,
  });
  return (
    <PlannerPart
      title="Plans"
      lead="Which vehicle goes off the road on which day, to which workshop, with which work."
    >
      {mayPlan ? (
        <StartPlanForm />
      ) : (
        <Notice tone="info" title="You can look at plans. A fleet planner makes and accepts them." />
      )}
      <section className="stack">
        <h2>Plans, newest first</h2>
        <ProblemNotice error={all.error} />
        {all.isPending ? <Waiting what="plans" /> : <PlansTable plans={all.data ?? []} />}
      </section>
    </PlannerPart>
  );
}

function PlansTable({ plans: rows }: { plans: DowntimePlan[] }) {
  const { locale } = useReader();
  const columns = useMemo(
    (): Column<DowntimePlan>[] => [
      {
        id: 'name',
        header: 'Plan',
        accessorFn: ({ name }) => name,
        cell: ({ row: { original } }) => <Link href={`/planner/plans/${original.id}`}>{original.name}</Link>,
      },
      {
        id: 'state',
        header: 'State',
        accessorFn: ({ state }) => PLAN_STATES[state].words,
        cell: ({ row: { original } }) => (
          <StateMark tone={PLAN_STATES[original.state].tone}>{PLAN_STATES[original.state].words}</StateMark>
        ),
      },
      {
        id: 'days',
        header: 'Days',
        accessorFn: ({ fromOn }) => fromOn,
        cell: ({ row: { original } }) =>
          `${dayText(original.fromOn, locale)} until before ${dayText(original.untilOn, locale)}`,
      },
      {
        id: 'cost',
        header: 'Cost',
        accessorFn: ({ outcome }) => outcome?.plan.costMinor ?? -1,
        cell: ({ row: { original } }) =>
          original.outcome === null
            ? '–'
            : moneyText(original.outcome.plan.costMinor, original.outcome.currency, locale),
      },
      {
        id: 'gap',
        header: 'How good',
        accessorFn: ({ outcome }) => outcome?.gapPercent ?? -1,
        cell: ({ row: { original } }) =>
          original.outcome === null ? '–' : gapWords(original.outcome.gapPercent, locale),
      },
      {
        id: 'kind',
        header: 'Kind',
        accessorFn: ({ assumptions }) => (assumptions.length > 0 ? 'What if' : 'Plan'),
      },
    ],
    [locale],
  );
  return (
    <DataTable
      caption="Plans, newest first"
      columns={columns}
      rows={rows}
      rowId={({ id }) => id}
      empty="No plan has been made yet."
    />
  );
}
