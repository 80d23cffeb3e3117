import { useQuery } from '@tanstack/react-query';
import { useEffect, useState } from 'react';
import { SelectField, TextField } from '../../design/field';
import type { AssumptionFieldsProps } from './assumption-fields-props';
import { baysOf, workshops } from './planner-data';

/** A bay that is closed for some days. */
export function BayClosedFields({ plan, onChange }: AssumptionFieldsProps) {
  const all = useQuery(workshops);
  const [chosenWorkshop, setWorkshop] = useState('');
  const workshopId = chosenWorkshop === '' ? (all.data?.[0]?.id ?? '') : chosenWorkshop;
  const bays = useQuery(baysOf(workshopId));
  const [chosenBay, setBay] = useState('');
  const bayId = (bays.data?.find(({ id }) => id === chosenBay) ?? bays.data?.[0])?.id ?? '';
  const [fromOn, setFromOn] = useState(plan.fromOn);
  const [untilOn, setUntilOn] = useState(plan.untilOn);
  const isWhole = workshopId !== '' && bayId !== '' && fromOn !== '' && untilOn > fromOn;
  useEffect(() => {
    onChange(isWhole ? { kind: 'bay-closed', workshopId, bayId, fromOn, untilOn } : null);
  }, [isWhole, workshopId, bayId, fromOn, untilOn, onChange]);
  return (
    <div className="columns">
      <SelectField label="Workshop" value={workshopId} onChange={(event) => setWorkshop(event.target.value)}>
        {(all.data ?? []).map(({ id, name }) => (
          <option key={id} value={id}>
            {name}
          </option>
        ))}
      </SelectField>
      <SelectField label="Bay" value={bayId} onChange={(event) => setBay(event.target.value)}>
        {(bays.data ?? []).map(({ id, name }) => (
          <option key={id} value={id}>
            {name}
          </option>
        ))}
      </SelectField>
      <TextField
        label="Closed from"
        type="date"
        value={fromOn}
        onChange={(event) => setFromOn(event.target.value)}
      />
      <TextField
        label="Open again"
        type="date"
        value={untilOn}
        onChange={(event) => setUntilOn(event.target.value)}
        fault={untilOn > fromOn ? undefined : 'Give a later day than the first.'}
      />
    </div>
  );
}
