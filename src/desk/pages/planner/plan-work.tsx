import { useMutation, useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { useLocation } from 'wouter';
import { answered, api, ifMatch } from '../../api/client';
import { Button } from '../../design/button';
import { SelectField } from '../../design/field';
import { Notice, ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { numberText } from '../../format/units';
import { useReader } from '../../session/session';
import { useTold } from '../../session/use-told';
import { LeftOutWork } from './left-out-work';
import { PendingWishes } from './pending-wishes';
import { VisitCalendar } from './visit-calendar';
import { VisitDialog } from './visit-dialog';
import { VisitsTable } from './visits-table';
import type { DowntimePlan } from './plan-words';
import type { Wishes } from './plan-wishes';
import { plan as planQuery, plannedVisits, plans, progress, startPlan } from './planner-data';
import { useMayPlan } from './planner-part';

interface PlanWorkProps {
  plan: DowntimePlan;
  currency: string;
  hasVisits: boolean;
}

/** The visits of a plan: read, wished otherwise, planned again, accepted. */
export function PlanWork({ plan, currency, hasVisits }: PlanWorkProps) {
  const { locale } = useReader();
  const told = useTold();
  const mayPlan = useMayPlan();
  const client = useQueryClient();
  const [, goTo] = useLocation();
  const [wishes, setWishes] = useState<Wishes>(plan.wishes);
  const [openId, setOpenId] = useState<string | null>(null);
  const [view, setView] = useState<'list' | 'calendar'>('list');
  const visits = useQuery({ ...plannedVisits(plan.id), enabled: hasVisits });
  const accept = useMutation({
    mutationFn: (visitIds: string[] | undefined) =>
      answered(
        api.POST('/v1/downtime-plans/{downtimePlanId}/acceptance', {
          params: { path: { downtimePlanId: plan.id }, header: ifMatch(plan) },
          body: { visitIds },
        }),
      ),
    onSuccess: (now) => {
      client.removeQueries({ queryKey: progress(plan.id).queryKey });
      client.setQueryData(planQuery(plan.id).queryKey, now);
    },
  });
  const again = useMutation({
    mutationFn: () => startPlan({ basedOnId: plan.id, wishes }),
    onSuccess: async ({ id }) => {
      await client.invalidateQueries({ queryKey: plans.queryKey, exact: true });
      goTo(`/planner/plans/${id}`);
    },
  });
  const all = visits.data ?? [];
  const undecided = all.filter(({ acceptance }) => acceptance !== 'booked');
  const refused = all.filter(({ acceptance }) => acceptance === 'refused');
  const open = all.find(({ id }) => id === openId);
  const mayAccept = mayPlan && plan.state === 'ready' && plan.assumptions.length === 0;
  const number = (count: number): string => numberText(count, locale, 0);
  return (
    <section className="stack" aria-label="Visits">
      {hasVisits ? <h2>{number(all.length)} visits</h2> : null}
      {mayPlan ? (
        <PendingWishes
          plan={plan}
          wishes={wishes}
          visits={all}
          onChange={setWishes}
          onPlanAgain={() => again.mutate()}
          busy={again.isPending}
        />
      ) : null}
      <ProblemNotice error={again.error ?? visits.error ?? accept.error} />
      {refused.length === 0 ? null : (
        <Notice tone="bad" title={`${number(refused.length)} could not be booked`}>
          <ul>
            {refused.map(({ id, registrationMark, refusal }) => (
              <li key={id}>
                {registrationMark}: {told(refusal ?? '')}
              </li>
            ))}
          </ul>
          <p>
            Plan the rest again: what is booked stays, and the others get new days in what the diaries have
            left.
          </p>
          {mayPlan ? (
            <Button onClick={() => again.mutate()} busy={again.isPending}>
              Plan the rest again
            </Button>
          ) : null}
        </Notice>
      )}
      {hasVisits ? (
        <>
          <div className="row spread screen-only">
            <SelectField
              label="Show visits"
              value={view}
              onChange={(event) => setView(event.target.value === 'calendar' ? 'calendar' : 'list')}
            >
              <option value="list">As a list</option>
              <option value="calendar">As a calendar, a line for each vehicle</option>
            </SelectField>
            {mayAccept && undecided.length > 0 ? (
              <Button kind="main" onClick={() => accept.mutate(undefined)} busy={accept.isPending}>
                {undecided.length === 1
                  ? 'Accept the last visit'
                  : `Accept all ${number(undecided.length)} visits`}
              </Button>
            ) : null}
          </div>
          {visits.isPending ? <Waiting what="visits" /> : null}
          {view === 'list' ? (
            <VisitsTable visits={all} wishes={wishes} currency={currency} onOpen={setOpenId} />
          ) : (
            <VisitCalendar plan={plan} visits={all} wishes={wishes} onOpen={setOpenId} />
          )}
          <LeftOutWork planId={plan.id} currency={currency} />
        </>
      ) : null}
      {open === undefined ? null : (
        <VisitDialog
          visit={open}
          plan={plan}
          currency={currency}
          wishes={wishes}
          onWish={mayPlan ? setWishes : null}
          onAccept={
            mayAccept && open.acceptance !== 'booked'
              ? () => accept.mutate([open.id], { onSuccess: () => setOpenId(null) })
              : null
          }
          accepting={accept}
          onClose={() => setOpenId(null)}
        />
      )}
    </section>
  );
}
