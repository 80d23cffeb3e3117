import { useMutation, useQuery, useQueryClient } from '@tanstack/react-query';
import { useState, type SyntheticEvent } from 'react';
import { answered, api, ifMatch, type Schemas } from '../../api/client';
import { Button } from '../../design/button';
import { CheckField, TextField } from '../../design/field';
import { Notice, ProblemNotice } from '../../design/notice';
import { useReader } from '../../session/session';
import { amountText, typedAmount } from './amounts';
import { workshopReach, workshops } from './planner-data';
import { SavedNotice } from './saved-notice';
import { wholeNumber } from './whole-number';

interface Way {
  minutes: string;
  cost: string;
}

interface ReachFormProps {
  reach: Schemas['WorkshopReachDto'];
  mayPlan: boolean;
  currency: string;
}

const MOST_MINUTES = 1_440;

/** Workshops that the vehicles of a depot can go to, and what the way costs. */
export function ReachForm({ reach, mayPlan, currency }: ReachFormProps) {
  const { locale } = useReader();
  const client = useQueryClient();
  const all = useQuery(workshops);
  const [ways, setWays] = useState<Readonly<Record<string, Way>>>(() =>
    Object.fromEntries(
      reach.workshops.map(({ workshopId, transferMinutes, transferCostMinor }) => [
        workshopId,
        { minutes: String(transferMinutes), cost: amountText(transferCostMinor, locale) },
      ]),
    ),
  );
  const chosen = Object.entries(ways);
  const isWhole = chosen.every(
    ([, { minutes, cost }]) =>
      wholeNumber(minutes, 0, MOST_MINUTES) !== null && typedAmount(cost, locale) !== null,
  );
  const save = useMutation({
    mutationFn: () =>
      answered(
        api.PUT('/v1/depots/{depotId}/workshop-reach', {
          params: { path: { depotId: reach.depotId }, header: ifMatch(reach) },
          body: {
            workshops: chosen.map(([workshopId, { minutes, cost }]) => ({
              workshopId,
              transferMinutes: wholeNumber(minutes, 0, MOST_MINUTES) ?? 0,
              transferCostMinor: typedAmount(cost, locale) ?? 0,
            })),
          },
        }),
      ),
    onSuccess: (now) => client.setQueryData(workshopReach(reach.depotId).queryKey, now),
  });
  const change = (workshopId: string, more: Partial<Way>): void =>
    setWays({ ...ways, [workshopId]: { minutes: '0', cost: '0', ...ways[workshopId], ...more } });
  const submit = (event: SyntheticEvent): void => {
    event.preventDefault();
    if (isWhole) save.mutate();
  };
  return (
    <form className="sheet stack" onSubmit={submit} noValidate aria-label="Workshops within reach">
      <h3>Workshops within reach</h3>
      {reach.warnings.map((warning) => (
        <Notice key={warning} tone="info" title={warning} />
      ))}
      {(all.data ?? []).map(({ id, name }) => {
        const way = ways[id];
        return (
          <fieldset key={id} className="stack" disabled={!mayPlan}>
            <legend>{name}</legend>
            <CheckField
              label="Within reach"
              checked={way !== undefined}
              onChange={(event) => {
                if (event.target.checked) change(id, {});
                else setWays(Object.fromEntries(chosen.filter(([workshopId]) => workshopId !== id)));
              }}
            />
            {way === undefined ? null : (
              <>
                <TextField
                  label="Driving there and back"
                  unit="min"
                  inputMode="numeric"
                  value={way.minutes}
                  onChange={(event) => change(id, { minutes: event.target.value })}
                  fault={
                    wholeNumber(way.minutes, 0, MOST_MINUTES) === null
                      ? 'Give whole minutes, at most 1440.'
                      : undefined
                  }
                />
                <TextField
                  label="Cost of the way, there and back"
                  unit={currency}
                  inputMode="decimal"
                  value={way.cost}
                  onChange={(event) => change(id, { cost: event.target.value })}
                  fault={
                    typedAmount(way.cost, locale) === null ? 'Give an amount, such as 12.50.' : undefined
                  }
                />
              </>
            )}
          </fieldset>
        );
      })}
      {mayPlan ? (
        <>
          <ProblemNotice error={save.error} />
          <SavedNotice saved={save.isSuccess} what="Reach" />
          <div className="row">
            <Button kind="main" type="submit" busy={save.isPending} disabled={chosen.length === 0}>
              Save the workshops
            </Button>
          </div>
        </>
      ) : null}
    </form>
  );
}
