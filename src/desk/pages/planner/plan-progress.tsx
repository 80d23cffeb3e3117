import { useMutation, useQueryClient } from '@tanstack/react-query';
import { answered, api, ifMatch, type Schemas } from '../../api/client';
import { Button } from '../../design/button';
import { ProblemNotice } from '../../design/notice';
import { numberText } from '../../format/units';
import { useReader } from '../../session/session';
import { moneyText } from './money';
import { gapWords, PHASES, type DowntimePlan } from './plan-words';
import { plan as planQuery } from './planner-data';
import { useMayPlan } from './planner-part';

interface PlanProgressProps {
  plan: DowntimePlan;
  standing: Schemas['PlanProgressDto'] | undefined;
  currency: string;
}

/** A plan that is being made: how far it is, and how good the best so far. */
export function PlanProgress({ plan, standing, currency }: PlanProgressProps) {
  const { locale } = useReader();
  const mayPlan = useMayPlan();
  const client = useQueryClient();
  const stop = useMutation({
    mutationFn: async () => {
      const { id: downtimePlanId } = plan;
      // its revision moves while it is made
      const now = await client.query({ ...planQuery(downtimePlanId), staleTime: 0 });
      return answered(
        api.POST('/v1/downtime-plans/{downtimePlanId}/stop', {
          params: { path: { downtimePlanId }, header: ifMatch(now) },
        }),
      );
    },
  });
  const share = standing?.doneShare ?? 0;
  const phase = standing?.phase ?? null;
  return (
    <section className="sheet stack" aria-label="How far the plan is">
      <h2>{plan.state === 'accepting' ? 'Visits are being booked' : 'The plan is being made'}</h2>
      {plan.state === 'accepting' ? (
        <p role="status">Each visit is booked by itself, or refused with its reason.</p>
      ) : (
        <>
          <progress value={share} max={1} aria-label="Done" />
          <p role="status">{phase === null ? 'Waiting for its turn' : PHASES[phase]}</p>
          <p>
            {numberText(share * 100, locale, 0)} % done.{' '}
            {standing?.costMinor == null
              ? ''
              : `Best so far ${moneyText(standing.costMinor, currency, locale)}. `}
            {standing?.gapPercent == null ? '' : gapWords(standing.gapPercent, locale)}
          </p>
          {mayPlan ? (
            <div className="row">
              <Button
                onClick={() => stop.mutate()}
                busy={stop.isPending}
                disabled={standing?.stopRequested === true}
              >
                Stop and keep the best so far
              </Button>
              {standing?.stopRequested === true ? <span className="soft">It stops in a moment.</span> : null}
            </div>
          ) : null}
        </>
      )}
      <ProblemNotice error={stop.error} />
    </section>
  );
}
