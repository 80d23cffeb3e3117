import { useMutation, useQuery, useQueryClient } from '@tanstack/react-query';
import { useState, type SyntheticEvent } from 'react';
import { useLocation } from 'wouter';
import { ProblemError } from '../../api/problem';
import { Button } from '../../design/button';
import { CheckField, SelectField, TextField } from '../../design/field';
import { ProblemNotice } from '../../design/notice';
import { EFFORTS, type DowntimePlan } from './plan-words';
import { depots, fleets, planningSettings, plans, startPlan } from './planner-data';
import { StayOnRoadWishes } from './stay-on-road-wishes';
import type { ForbiddenDay } from './plan-wishes';

/** Starts a plan, and goes to where it can be watched. */
export function StartPlanForm() {
  const client = useQueryClient();
  const [, goTo] = useLocation();
  const allFleets = useQuery(fleets);
  const allDepots = useQuery(depots);
  const settings = useQuery(planningSettings);
  const [chosenFleet, setChosenFleet] = useState('');
  const [without, setWithout] = useState<ReadonlySet<string>>(new Set());
  const [name, setName] = useState('');
  const [fromOn, setFromOn] = useState('');
  const [days, setDays] = useState('');
  const [effort, setEffort] = useState<DowntimePlan['effort']>('normal');
  const [forbidden, setForbidden] = useState<ForbiddenDay[]>([]);
  const fleetId = chosenFleet === '' ? (allFleets.data?.[0]?.id ?? '') : chosenFleet;
  const own = (allDepots.data ?? []).filter((depot) => depot.fleetId === fleetId);
  const start = useMutation({
    mutationFn: () =>
      startPlan({
        fleetId,
        depotIds: without.size === 0 ? undefined : own.map(({ id }) => id).filter((id) => !without.has(id)),
        name: name.trim() === '' ? undefined : name.trim(),
        fromOn: fromOn === '' ? undefined : fromOn,
        days: days.trim() === '' ? undefined : Number(days),
        effort,
        wishes: forbidden.length === 0 ? undefined : { locked: [], forbidden },
      }),
    onSuccess: async ({ id }) => {
      await client.invalidateQueries({ queryKey: plans.queryKey, exact: true });
      goTo(`/planner/plans/${id}`);
    },
  });
  const faultAt = (pointer: string) => {
    const fault = start.error instanceof ProblemError ? start.error.at(pointer) : undefined;
    return fault === undefined ? undefined : `${fault.detail}. ${fault.remedy}.`;
  };
  const submit = (event: SyntheticEvent): void => {
    event.preventDefault();
    start.mutate();
  };
  return (
    <form className="sheet stack" onSubmit={submit} noValidate aria-label="Start a plan">
      <h2>Start a plan</h2>
      <div className="columns">
        <SelectField label="Fleet" value={fleetId} onChange={(event) => setChosenFleet(event.target.value)}>
          {(allFleets.data ?? []).map((fleet) => (
            <option key={fleet.id} value={fleet.id}>
              {fleet.name}
            </option>
          ))}
        </SelectField>
        <TextField
          label="Name"
          hint="Left empty, it is called by its first day."
          value={name}
          maxLength={120}
          onChange={(event) => setName(event.target.value)}
          fault={faultAt('#/name')}
        />
        <TextField
          label="First day"
          type="date"
          hint="Left empty, tomorrow."
          value={fromOn}
          onChange={(event) => setFromOn(event.target.value)}
          fault={faultAt('#/fromOn')}
        />
        <TextField
          label="How many days"
          inputMode="numeric"
          hint={`7 to 366. Left empty, ${settings.data?.horizonDays ?? 'as the settings say'}.`}
          value={days}
          onChange={(event) => setDays(event.target.value)}
          fault={faultAt('#/days')}
        />
        <SelectField
          label="Effort"
          value={effort}
          onChange={(event) => setEffort(event.target.value as DowntimePlan['effort'])}
        >
          {Object.entries(EFFORTS).map(([key, words]) => (
            <option key={key} value={key}>
              {words}
            </option>
          ))}
        </SelectField>
      </div>
      <fieldset className="row">
        <legend>Depots</legend>
        {own.map(({ id, name: depot }) => (
          <CheckField
            key={id}
            label={depot}
            checked={!without.has(id)}
            onChange={(event) => {
              const next = new Set(without);
              if (event.target.checked) next.delete(id);
              else next.add(id);
              setWithout(next);
            }}
          />
        ))}
      </fieldset>
      <StayOnRoadWishes
        depotIds={own.map(({ id }) => id)}
        wishes={forbidden}
        onChange={(wishes) => setForbidden(wishes)}
      />
      <ProblemNotice error={start.error} />
      <div className="row">
        <Button kind="main" type="submit" busy={start.isPending} disabled={fleetId === ''}>
          Start the plan
        </Button>
      </div>
    </form>
  );
}
