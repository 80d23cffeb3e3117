import { useCallback } from 'react';
import { choicesOf, useFleets, useWorkshops } from './lists';
import type { FormFields } from './form-fields';

/** To which fleets and workshops somebody is limited; none chosen is no limit. */
export interface LimitValues {
  fleetIds: string[];
  workshopIds: string[];
}

export interface Limits {
  fleetIds: string[] | null;
  workshopIds: string[] | null;
}

export const limitValuesOf = (limits: Limits | null): LimitValues => ({
  fleetIds: limits?.fleetIds ?? [],
  workshopIds: limits?.workshopIds ?? [],
});

export const limitsOf = ({ fleetIds, workshopIds }: LimitValues): Limits => ({
  fleetIds: fleetIds.length === 0 ? null : fleetIds,
  workshopIds: workshopIds.length === 0 ? null : workshopIds,
});

export function LimitFields<Values extends LimitValues>({ fields }: { fields: FormFields<Values> }) {
  const fleets = useFleets();
  const workshops = useWorkshops();
  const limits = fields as unknown as FormFields<LimitValues>;
  return (
    <>
      {limits.several('fleetIds', 'Only these fleets', choicesOf(fleets.data), 'None ticked: every fleet.')}
      {limits.several(
        'workshopIds',
        'Only these workshops',
        choicesOf(workshops.data),
        'None ticked: every workshop.',
      )}
    </>
  );
}

/** Says in words to what somebody is limited. */
export function useLimitText(): (limits: Limits) => string {
  const { data: fleets } = useFleets();
  const { data: workshops } = useWorkshops();
  return useCallback(
    ({ fleetIds, workshopIds }) => {
      const all = [...namesOf(fleetIds, fleets), ...namesOf(workshopIds, workshops)];
      return all.length === 0 ? 'everything' : all.join(', ');
    },
    [fleets, workshops],
  );
}

const namesOf = (ids: string[] | null, known: readonly { id: string; name: string }[] = []): string[] =>
  (ids ?? []).map((id) => known.find((each) => each.id === id)?.name ?? id);
