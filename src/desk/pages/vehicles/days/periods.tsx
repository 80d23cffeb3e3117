import { useInfiniteQuery, useMutation } from '@tanstack/react-query';
import { addDays } from '../../../../core/shared/calendar-date';
import { answered, api, ifMatch, type Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { MoreButton } from '../../../design/more-button';
import { ProblemNotice } from '../../../design/notice';
import { dayText } from '../../../format/days';
import { useHasRole, useReader, type Role } from '../../../session/session';
import { useVehicleChanged, vehicleQueries } from '../vehicle-queries';
import { PeriodForm } from './period-form';
import type { PeriodKind } from './period-kind';

type Period = Schemas['OffRoadPeriodDto'] | Schemas['BlackoutPeriodDto'];

const WORDS = {
  'off-road-periods': { title: 'Off the road', none: 'No day off the road is on record.', of: 'periods' },
  'blackout-periods': {
    title: 'Has to stay on the road',
    none: 'There is no day on which it has to stay on the road.',
    of: 'periods',
  },
} as const;

const WRITERS: Record<PeriodKind, readonly Role[]> = {
  'off-road-periods': ['fleet-planner', 'front-desk', 'dealer-system', 'administrator'],
  'blackout-periods': ['fleet-planner', 'administrator'],
};

/** Periods of one kind, with adding and taking back for those who may. */
export function Periods({ kind, vehicleId, zone }: { kind: PeriodKind; vehicleId: string; zone: string }) {
  const mayWrite = useHasRole(...WRITERS[kind]);
  const of = vehicleQueries(vehicleId);
  const offRoad = useInfiniteQuery({ ...of.offRoad, enabled: kind === 'off-road-periods' });
  const blackout = useInfiniteQuery({ ...of.blackout, enabled: kind === 'blackout-periods' });
  const list = kind === 'off-road-periods' ? offRoad : blackout;
  const periods: Period[] = list.data?.pages.flatMap(({ items }): Period[] => items) ?? [];
  const { title, none } = WORDS[kind];
  return (
    <section className="stack" aria-label={title}>
      <h3>{title}</h3>
      <ProblemNotice error={list.error} />
      {list.isSuccess && periods.length === 0 ? <p className="soft">{none}</p> : null}
      <ul className="stack">
        {periods.map((period) => (
          <PeriodLine key={period.id} kind={kind} period={period} mayWrite={mayWrite} />
        ))}
      </ul>
      <MoreButton list={list} of={WORDS[kind].of} />
      {mayWrite ? <PeriodForm kind={kind} vehicleId={vehicleId} zone={zone} /> : null}
    </section>
  );
}

function PeriodLine({ kind, period, mayWrite }: { kind: PeriodKind; period: Period; mayWrite: boolean }) {
  const { locale } = useReader();
  const { id, vehicleId, fromOn, untilOn, reason } = period;
  const changed = useVehicleChanged(vehicleId);
  const takeBack = useMutation({
    mutationFn: (): Promise<unknown> =>
      kind === 'off-road-periods'
        ? answered(
            api.DELETE('/v1/off-road-periods/{offRoadPeriodId}', {
              params: { path: { offRoadPeriodId: id }, header: ifMatch(period) },
            }),
          )
        : answered(
            api.DELETE('/v1/vehicles/{vehicleId}/blackout-periods/{blackoutPeriodId}', {
              params: { path: { vehicleId, blackoutPeriodId: id }, header: ifMatch(period) },
            }),
          ),
    onSuccess: changed,
  });
  const days = `${dayText(fromOn, locale)} to ${dayText(addDays(untilOn, -1), locale)}`;
  return (
    <li>
      <div className="row spread">
        <span>
          {days}: {reason}
        </span>
        {mayWrite ? (
          <Button
            kind="quiet"
            className="screen-only"
            busy={takeBack.isPending}
            aria-label={`Take back ${days}`}
            onClick={() => takeBack.mutate()}
          >
            Take back
          </Button>
        ) : null}
      </div>
      <ProblemNotice error={takeBack.error} />
    </li>
  );
}
