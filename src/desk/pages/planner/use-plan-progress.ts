import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useEffect, useState } from 'react';
import type { Schemas } from '../../api/client';
import { isUnderWay } from './plan-words';
import { plans, progress } from './planner-data';

const ASK_AGAIN_MS = 1_500;

/** How far the work on a plan is, as the service tells it; asked for again and again where its events do not come through. */
export function usePlanProgress(planId: string, active: boolean): Schemas['PlanProgressDto'] | undefined {
  const client = useQueryClient();
  const [eventsFail, setEventsFail] = useState(false);
  const standing = useQuery({
    ...progress(planId),
    enabled: active,
    refetchInterval: active && eventsFail ? ASK_AGAIN_MS : false,
  });
  useEffect(() => {
    if (!active || eventsFail) return;
    const events = new EventSource(`/v1/downtime-plans/${planId}/progress-events`);
    events.onmessage = ({ data }: MessageEvent<string>) => {
      const now = JSON.parse(data) as Schemas['PlanProgressDto'];
      client.setQueryData(progress(planId).queryKey, now);
      if (isUnderWay(now.state)) return;
      events.close();
      // the plan itself, its visits and figures have changed with the end of the work
      void client.invalidateQueries({ queryKey: plans.queryKey });
    };
    events.onerror = () => {
      events.close();
      setEventsFail(true);
    };
    return () => events.close();
  }, [active, client, eventsFail, planId]);
  const state = standing.data?.state;
  useEffect(() => {
    if (active && eventsFail && state !== undefined && !isUnderWay(state))
      void client.invalidateQueries({ queryKey: plans.queryKey });
  }, [active, client, eventsFail, state]);
  return active ? standing.data : undefined;
}
