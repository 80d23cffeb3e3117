import { useQuery } from '@tanstack/react-query';
import { useEffect, useState } from 'react';
import { SelectField, TextField } from '../../design/field';
import type { AssumptionFieldsProps } from './assumption-fields-props';
import { depots } from './planner-data';
import { wholeNumber } from './whole-number';

/** A depot that needs more vehicles on the road each day than its roster says, or fewer. */
export function RosterNeedFields({ plan, onChange }: AssumptionFieldsProps) {
  const all = useQuery(depots);
  const own = (all.data ?? []).filter(({ id }) => plan.depotIds.includes(id));
  const [chosen, setChosen] = useState('');
  const depotId = chosen === '' ? (own[0]?.id ?? '') : chosen;
  const [change, setChange] = useState('-1');
  const number = wholeNumber(change, -1000, 1000);
  const isWhole = depotId !== '' && number !== null && number !== 0;
  useEffect(() => {
    onChange(isWhole ? { kind: 'roster-need', depotId, change: number } : null);
  }, [isWhole, depotId, number, onChange]);
  return (
    <div className="columns">
      <SelectField label="Depot" value={depotId} onChange={(event) => setChosen(event.target.value)}>
        {own.map(({ id, name }) => (
          <option key={id} value={id}>
            {name}
          </option>
        ))}
      </SelectField>
      <TextField
        label="Vehicles more each day"
        hint="Below 0: fewer."
        inputMode="numeric"
        value={change}
        onChange={(event) => setChange(event.target.value)}
        fault={number === null || number === 0 ? 'Give a whole number that is not 0.' : undefined}
      />
    </div>
  );
}
