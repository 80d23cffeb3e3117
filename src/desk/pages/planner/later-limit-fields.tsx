import { useQuery } from '@tanstack/react-query';
import { useEffect, useState } from 'react';
import { SelectField, TextField } from '../../design/field';
import type { AssumptionFieldsProps } from './assumption-fields-props';
import { dueItems } from './planner-data';
import { wholeNumber } from './whole-number';

/** A task whose late limit is moved by some days. */
export function LaterLimitFields({ plan, onChange }: AssumptionFieldsProps) {
  const due = useQuery(dueItems({ fleetId: plan.fleetId, dueUntil: plan.untilOn }));
  const tasks = [...new Set((due.data ?? []).map(({ task }) => task))].sort();
  const [chosen, setChosen] = useState('');
  const task = chosen === '' ? (tasks[0] ?? '') : chosen;
  const [days, setDays] = useState('14');
  const number = wholeNumber(days, -365, 365);
  const isWhole = task !== '' && number !== null && number !== 0;
  useEffect(() => {
    onChange(isWhole ? { kind: 'later-limit', task, days: number } : null);
  }, [isWhole, task, number, onChange]);
  return (
    <div className="columns">
      <SelectField label="Task" value={task} onChange={(event) => setChosen(event.target.value)}>
        {tasks.map((each) => (
          <option key={each} value={each}>
            {each}
          </option>
        ))}
      </SelectField>
      <TextField
        label="Days later"
        hint="Below 0: earlier."
        inputMode="numeric"
        value={days}
        onChange={(event) => setDays(event.target.value)}
        fault={number === null || number === 0 ? 'Give a whole number that is not 0.' : undefined}
      />
    </div>
  );
}
