import { useQuery } from '@tanstack/react-query';
import { Link } from 'wouter';
import { Notice, ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { StateMark } from '../../design/state-mark';
import { dayText } from '../../format/days';
import { useReader } from '../../session/session';
import { AssumptionList } from './assumption-list';
import { PlanConflicts } from './plan-conflicts';
import { PlanProgress } from './plan-progress';
import { PlanResult } from './plan-result';
import { PlanViews } from './plan-views';
import { isUnderWay, PLAN_STATES, type DowntimePlan } from './plan-words';
import { PlanWork } from './plan-work';
import { plan as planQuery, planningSettings } from './planner-data';
import { PlannerPart } from './planner-part';
import { usePlanProgress } from './use-plan-progress';

/** One plan: watched while it is made, then read, changed and accepted. */
export default function PlanPart({ planId }: { planId: string }) {
  const plan = useQuery(planQuery(planId));
  if (plan.data === undefined)
    return (
      <PlannerPart title="Plan">
        {plan.isError ? <ProblemNotice error={plan.error} /> : <Waiting what="the plan" />}
      </PlannerPart>
    );
  return <PlanOnPage plan={plan.data} />;
}

function PlanOnPage({ plan }: { plan: DowntimePlan }) {
  const { locale } = useReader();
  const settings = useQuery(planningSettings);
  const standing = usePlanProgress(plan.id, isUnderWay(plan.state));
  const { words, tone } = PLAN_STATES[plan.state];
  const { outcome } = plan;
  const hasVisits = outcome !== null && plan.state !== 'impossible' && plan.state !== 'failed';
  return (
    <PlannerPart
      title={plan.name}
      lead={
        <>
          <StateMark tone={tone}>{words}</StateMark> {dayText(plan.fromOn, locale)} until before{' '}
          {dayText(plan.untilOn, locale)}
        </>
      }
      tools={
        hasVisits ? (
          <>
            <a href={`/v1/downtime-plans/${plan.id}/visits.csv`} download>
              Visits as CSV
            </a>
            <a href={`/v1/downtime-plans/${plan.id}/visits.ics`} download>
              Visits as a calendar
            </a>
          </>
        ) : undefined
      }
    >
      {plan.assumptions.length === 0 ? null : (
        <Notice tone="warn" title="What if: this plan assumes what is not so, and cannot be accepted.">
          <AssumptionList assumptions={plan.assumptions} />
          <p>
            If it becomes so, record it and plan again.{' '}
            <Link href={`/planner/what-if`}>To the comparison</Link>
          </p>
        </Notice>
      )}
      {plan.failure === null ? null : <Notice tone="bad" title={plan.failure} />}
      {isUnderWay(plan.state) ? (
        <PlanProgress
          plan={plan}
          standing={standing}
          currency={outcome?.currency ?? settings.data?.currency ?? ''}
        />
      ) : null}
      {outcome === null ? null : (
        <>
          {hasVisits ? <PlanResult plan={plan} outcome={outcome} /> : null}
          <PlanConflicts conflicts={outcome.conflicts} impossible={plan.state === 'impossible'} />
        </>
      )}
      {hasVisits || plan.state === 'impossible' ? (
        <PlanWork key={plan.id} plan={plan} currency={outcome?.currency ?? ''} hasVisits={hasVisits} />
      ) : null}
      {hasVisits ? <PlanViews planId={plan.id} /> : null}
      <p className="small soft">
        A vehicle that is unsafe stays off the road whatever a plan says. The software advises; the maker’s
        manual, local law and a licensed person decide.
      </p>
    </PlannerPart>
  );
}
