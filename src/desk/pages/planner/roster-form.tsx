import { useMutation, useQueryClient } from '@tanstack/react-query';
import { useState, type SyntheticEvent } from 'react';
import { answered, api, ifMatch, type Schemas } from '../../api/client';
import { Button } from '../../design/button';
import { TextField } from '../../design/field';
import { Notice, ProblemNotice } from '../../design/notice';
import { roster as rosterQuery } from './planner-data';
import { SavedNotice } from './saved-notice';
import { wholeNumber } from './whole-number';

const WEEKDAYS = [
  ['monday', 'Monday'],
  ['tuesday', 'Tuesday'],
  ['wednesday', 'Wednesday'],
  ['thursday', 'Thursday'],
  ['friday', 'Friday'],
  ['saturday', 'Saturday'],
  ['sunday', 'Sunday'],
] as const;

type Weekday = (typeof WEEKDAYS)[number][0];
interface TypedException {
  fromOn: string;
  untilOn: string;
  needed: string;
  reason: string;
}

const MOST = 10_000;
const COUNT_FAULT = 'Give a whole number, 0 or more.';

/** Vehicles that a depot needs on the road, by weekday, and days on which it is another number. */
export function RosterForm({ roster, mayPlan }: { roster: Schemas['RosterDto']; mayPlan: boolean }) {
  const client = useQueryClient();
  const [needed, setNeeded] = useState<Record<Weekday, string>>(
    () =>
      Object.fromEntries(WEEKDAYS.map(([day]) => [day, String(roster.neededByWeekday[day])])) as Record<
        Weekday,
        string
      >,
  );
  const [exceptions, setExceptions] = useState<TypedException[]>(() =>
    roster.exceptions.map((each) => ({ ...each, needed: String(each.needed) })),
  );
  const counts = WEEKDAYS.map(([day]) => [day, wholeNumber(needed[day], 0, MOST)] as const);
  const isWhole =
    counts.every(([, count]) => count !== null) &&
    exceptions.every(({ needed: text }) => wholeNumber(text, 0, MOST) !== null);
  const save = useMutation({
    mutationFn: () =>
      answered(
        api.PUT('/v1/depots/{depotId}/roster', {
          params: { path: { depotId: roster.depotId }, header: ifMatch(roster) },
          body: {
            neededByWeekday: Object.fromEntries(counts) as Record<Weekday, number>,
            exceptions: exceptions.map((each) => ({ ...each, needed: Number(each.needed) })),
          },
        }),
      ),
    onSuccess: async (now) => {
      client.setQueryData(rosterQuery(roster.depotId).queryKey, now);
      await client.invalidateQueries({ queryKey: ['depot-availability'] });
    },
  });
  const change = (at: number, more: Partial<TypedException>): void =>
    setExceptions(exceptions.map((each, index) => (index === at ? { ...each, ...more } : each)));
  const submit = (event: SyntheticEvent): void => {
    event.preventDefault();
    if (isWhole) save.mutate();
  };
  return (
    <form className="sheet stack" onSubmit={submit} noValidate aria-label="Roster">
      <h3>Vehicles needed on the road</h3>
      <p className="soft">The depot has {roster.vehicleCount}.</p>
      {roster.warnings.map((warning) => (
        <Notice key={warning} tone="warn" title={warning} />
      ))}
      {WEEKDAYS.map(([day, name]) => (
        <TextField
          key={day}
          label={name}
          inputMode="numeric"
          disabled={!mayPlan}
          value={needed[day]}
          onChange={(event) => setNeeded({ ...needed, [day]: event.target.value })}
          fault={wholeNumber(needed[day], 0, MOST) === null ? COUNT_FAULT : undefined}
        />
      ))}
      {exceptions.map((each, at) => (
        <fieldset key={at} className="stack" disabled={!mayPlan}>
          <legend>Other days {at + 1}</legend>
          <TextField
            label="First day"
            type="date"
            value={each.fromOn}
            onChange={(event) => change(at, { fromOn: event.target.value })}
          />
          <TextField
            label="First day after it"
            type="date"
            value={each.untilOn}
            onChange={(event) => change(at, { untilOn: event.target.value })}
          />
          <TextField
            label="Needed"
            inputMode="numeric"
            value={each.needed}
            onChange={(event) => change(at, { needed: event.target.value })}
            fault={wholeNumber(each.needed, 0, MOST) === null ? COUNT_FAULT : undefined}
          />
          <TextField
            label="Reason"
            value={each.reason}
            onChange={(event) => change(at, { reason: event.target.value })}
          />
          {mayPlan ? (
            <Button onClick={() => setExceptions(exceptions.filter((_, index) => index !== at))}>
              Remove other days {at + 1}
            </Button>
          ) : null}
        </fieldset>
      ))}
      {mayPlan ? (
        <>
          <ProblemNotice error={save.error} />
          <SavedNotice saved={save.isSuccess} what="The roster" />
          <div className="row">
            <Button
              onClick={() =>
                setExceptions([...exceptions, { fromOn: '', untilOn: '', needed: '0', reason: '' }])
              }
            >
              Add other days
            </Button>
            <Button kind="main" type="submit" busy={save.isPending}>
              Save the roster
            </Button>
          </div>
        </>
      ) : null}
    </form>
  );
}
