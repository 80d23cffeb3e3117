import { useInfiniteQuery, useMutation } from '@tanstack/react-query';
import { answered, api, ifMatch, type Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { MoreButton } from '../../../design/more-button';
import { ProblemNotice } from '../../../design/notice';
import { dayText, momentText, todayOn } from '../../../format/days';
import { useHasRole, useReader } from '../../../session/session';
import { useVehicleChanged, vehicleQueries } from '../vehicle-queries';

/** Decisions to let the vehicle go, the past ones too. */
export function Overrides({ vehicleId, zone }: { vehicleId: string; zone: string }) {
  const list = useInfiniteQuery(vehicleQueries(vehicleId).overrides);
  const overrides = list.data?.pages.flatMap(({ items }) => items) ?? [];
  if (overrides.length === 0) return <ProblemNotice error={list.error} />;
  return (
    <>
      <h3>Overrides so far</h3>
      <ul className="stack">
        {overrides.map((override) => (
          <Override key={override.id} override={override} zone={zone} />
        ))}
      </ul>
      <MoreButton list={list} of="overrides" />
    </>
  );
}

function Override({ override, zone }: { override: Schemas['HoldOverrideDto']; zone: string }) {
  const { locale } = useReader();
  const mayDecide = useHasRole('fleet-planner', 'administrator');
  const changed = useVehicleChanged(override.vehicleId);
  const revoke = useMutation({
    mutationFn: () =>
      answered(
        api.POST('/v1/hold-overrides/{overrideId}/revoke', {
          params: { path: { overrideId: override.id }, header: ifMatch(override) },
        }),
      ),
    onSuccess: changed,
  });
  const { namedPerson, statement, fromOn, untilOn, revokedAt } = override;
  return (
    <li>
      {namedPerson}: {statement}
      <br />
      <span className="small soft">
        {dayText(fromOn, locale)} to {dayText(untilOn, locale)}
        {revokedAt === null ? '' : `; taken back ${momentText(revokedAt, zone, locale)}`}
      </span>
      {mayDecide && revokedAt === null && untilOn >= todayOn(zone) ? (
        <div className="row screen-only">
          <Button busy={revoke.isPending} onClick={() => revoke.mutate()}>
            Take it back
          </Button>
        </div>
      ) : null}
      <ProblemNotice error={revoke.error} />
    </li>
  );
}
