import { useMutation, useQueryClient } from '@tanstack/react-query';
import { useState, type SyntheticEvent } from 'react';
import { answered, api, ifMatch, type Schemas } from '../../api/client';
import { Button } from '../../design/button';
import { TextField } from '../../design/field';
import { Notice, ProblemNotice } from '../../design/notice';
import { useReader } from '../../session/session';
import { amountText, typedAmount } from './amounts';
import { planningSettings } from './planner-data';
import { SavedNotice } from './saved-notice';
import { wholeNumber } from './whole-number';

type Settings = Schemas['PlanningSettingsDto'];

const AMOUNTS = [
  ['visitLoss', 'One visit', 'The vehicle stands, its round is covered, somebody drives.'],
  [
    'valuePerItem',
    'Life of a piece of work',
    'From one time it is done to the next; done early, a share is given away.',
  ],
  ['lateSafetyCritical', 'A day late, safety-critical', 'For each piece of work and day after its due date.'],
  ['lateOther', 'A day late, other work', 'For each piece of work and day after its due date.'],
  ['leftOut', 'Leaving a piece of work out', 'Beyond what its dearest day would cost; more than one visit.'],
] as const;

type AmountKey = (typeof AMOUNTS)[number][0];

const minorOf = (settings: Settings): Record<AmountKey, number> => ({
  visitLoss: settings.visitLossMinor,
  valuePerItem: settings.valuePerItemMinor,
  lateSafetyCritical: settings.riskPerLateDayMinor.safetyCritical,
  lateOther: settings.riskPerLateDayMinor.other,
  leftOut: settings.leftOutMinor,
});

/** What plans of the whole organisation weigh against each other, in money. */
export function PlanningSettingsForm({ settings, mayPlan }: { settings: Settings; mayPlan: boolean }) {
  const { locale } = useReader();
  const client = useQueryClient();
  const [currency, setCurrency] = useState(settings.currency);
  const [horizonDays, setHorizonDays] = useState(String(settings.horizonDays));
  const [amounts, setAmounts] = useState(
    () =>
      Object.fromEntries(
        Object.entries(minorOf(settings)).map(([key, minor]) => [key, amountText(minor, locale)]),
      ) as Record<AmountKey, string>,
  );
  const days = wholeNumber(horizonDays, 7, 366);
  const minor = (key: AmountKey): number => typedAmount(amounts[key], locale) ?? 0;
  const isWhole = days !== null && AMOUNTS.every(([key]) => typedAmount(amounts[key], locale) !== null);
  const save = useMutation({
    mutationFn: () =>
      answered(
        api.PUT('/v1/planning-settings', {
          params: { header: ifMatch(settings) },
          body: {
            currency: currency.trim().toUpperCase(),
            horizonDays: days ?? settings.horizonDays,
            visitLossMinor: minor('visitLoss'),
            valuePerItemMinor: minor('valuePerItem'),
            valueByTask: settings.valueByTask,
            riskPerLateDayMinor: { safetyCritical: minor('lateSafetyCritical'), other: minor('lateOther') },
            leftOutMinor: minor('leftOut'),
          },
        }),
      ),
    onSuccess: (now) => client.setQueryData(planningSettings.queryKey, now),
  });
  const submit = (event: SyntheticEvent): void => {
    event.preventDefault();
    if (isWhole) save.mutate();
  };
  return (
    <form className="sheet stack" onSubmit={submit} noValidate aria-label="What plans weigh">
      <h2>What plans weigh</h2>
      {settings.isDefault ? (
        <Notice tone="info" title="These are rules of thumb. Nothing was ever set: set your own." />
      ) : null}
      <div className="columns">
        <TextField
          label="Currency"
          hint="ISO 4217 code. A change converts nothing."
          maxLength={3}
          disabled={!mayPlan}
          value={currency}
          onChange={(event) => setCurrency(event.target.value)}
        />
        <TextField
          label="Days of a plan"
          inputMode="numeric"
          disabled={!mayPlan}
          value={horizonDays}
          onChange={(event) => setHorizonDays(event.target.value)}
          fault={days === null ? 'Give whole days from 7 to 366.' : undefined}
        />
        {AMOUNTS.map(([key, label, hint]) => (
          <TextField
            key={key}
            label={label}
            hint={hint}
            unit={currency}
            inputMode="decimal"
            disabled={!mayPlan}
            value={amounts[key]}
            onChange={(event) => setAmounts({ ...amounts, [key]: event.target.value })}
            fault={
              typedAmount(amounts[key], locale) === null
                ? 'Give an amount, 0 or more, such as 12.50.'
                : undefined
            }
          />
        ))}
      </div>
      {mayPlan ? (
        <>
          <ProblemNotice error={save.error} />
          <SavedNotice saved={save.isSuccess} what="What plans weigh" />
          <div className="row">
            <Button kind="main" type="submit" busy={save.isPending}>
              Save what plans weigh
            </Button>
          </div>
        </>
      ) : null}
    </form>
  );
}
