import { useMutation, useQuery, useQueryClient } from '@tanstack/react-query';
import { useId, useState, type SyntheticEvent } from 'react';
import { answered, api, ifMatch, type Schemas } from '../../api/client';
import { Button } from '../../design/button';
import { TextField } from '../../design/field';
import { ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { dayText } from '../../format/days';
import { useReader } from '../../session/session';
import { blackoutsOf, vehicles } from './planner-data';

/** Days on which a vehicle has to stay on the road, whatever plan is made. */
export function BlackoutPeriods({ mayPlan }: { mayPlan: boolean }) {
  const all = useQuery(vehicles);
  const listId = useId();
  const [mark, setMark] = useState('');
  const vehicle = (all.data ?? []).find(
    ({ registrationMark }) => registrationMark.toLowerCase() === mark.trim().toLowerCase(),
  );
  return (
    <section className="sheet stack" aria-label="Days on the road">
      <h2>Days on which a vehicle stays on the road</h2>
      <TextField
        label="Registration mark of the vehicle"
        list={listId}
        value={mark}
        onChange={(event) => setMark(event.target.value)}
        fault={
          mark.trim().length >= 7 && vehicle === undefined && all.isSuccess
            ? 'No vehicle has this mark. Choose one of the list.'
            : undefined
        }
      />
      <datalist id={listId}>
        {(all.data ?? []).map(({ id, registrationMark }) => (
          <option key={id} value={registrationMark} />
        ))}
      </datalist>
      {vehicle === undefined ? (
        <p className="soft">Choose a vehicle to see its days.</p>
      ) : (
        <PeriodsOfVehicle key={vehicle.id} vehicle={vehicle} mayPlan={mayPlan} />
      )}
    </section>
  );
}

interface PeriodsOfVehicleProps {
  vehicle: Pick<Schemas['VehicleDto'], 'id' | 'registrationMark'>;
  mayPlan: boolean;
}

function PeriodsOfVehicle({ vehicle, mayPlan }: PeriodsOfVehicleProps) {
  const { locale } = useReader();
  const client = useQueryClient();
  const periods = useQuery(blackoutsOf(vehicle.id));
  const [fromOn, setFromOn] = useState('');
  const [untilOn, setUntilOn] = useState('');
  const [reason, setReason] = useState('');
  const changed = () => client.invalidateQueries({ queryKey: blackoutsOf(vehicle.id).queryKey });
  const add = useMutation({
    mutationFn: () =>
      answered(
        api.POST('/v1/vehicles/{vehicleId}/blackout-periods', {
          params: { path: { vehicleId: vehicle.id } },
          body: { fromOn, untilOn, reason },
        }),
      ),
    onSuccess: changed,
  });
  const remove = useMutation({
    mutationFn: (period: Schemas['BlackoutPeriodDto']) =>
      api.DELETE('/v1/vehicles/{vehicleId}/blackout-periods/{blackoutPeriodId}', {
        params: {
          path: { vehicleId: vehicle.id, blackoutPeriodId: period.id },
          header: ifMatch(period),
        },
      }),
    onSuccess: changed,
  });
  const submit = (event: SyntheticEvent): void => {
    event.preventDefault();
    add.mutate();
  };
  const daysOf = (period: Schemas['BlackoutPeriodDto']): string =>
    `${dayText(period.fromOn, locale)} until before ${dayText(period.untilOn, locale)}`;
  return (
    <>
      <ProblemNotice error={periods.error ?? remove.error} />
      {periods.isPending ? <Waiting what="its days" /> : null}
      {periods.data?.length === 0 ? <p className="soft">It may be off the road on any day.</p> : null}
      <ul>
        {(periods.data ?? []).map((period) => (
          <li key={period.id}>
            {daysOf(period)}: {period.reason}{' '}
            {mayPlan ? (
              <Button kind="quiet" onClick={() => remove.mutate(period)}>
                Remove<span className="unseen"> {daysOf(period)}</span>
              </Button>
            ) : null}
          </li>
        ))}
      </ul>
      {mayPlan ? (
        <form
          className="stack"
          onSubmit={submit}
          noValidate
          aria-label={`Add days of ${vehicle.registrationMark}`}
        >
          <div className="columns">
            <TextField
              label="First day on the road"
              type="date"
              value={fromOn}
              onChange={(event) => setFromOn(event.target.value)}
            />
            <TextField
              label="First day it may be off again"
              type="date"
              value={untilOn}
              onChange={(event) => setUntilOn(event.target.value)}
            />
            <TextField label="Reason" value={reason} onChange={(event) => setReason(event.target.value)} />
          </div>
          <ProblemNotice error={add.error} />
          <div className="row">
            <Button type="submit" busy={add.isPending}>
              Add these days
            </Button>
          </div>
        </form>
      ) : null}
    </>
  );
}
