import { useState } from 'react';
import { Button } from '../../design/button';
import { SelectField } from '../../design/field';
import { BayClosedFields } from './bay-closed-fields';
import { ASSUMPTION_KINDS, type Assumption, type AssumptionKind } from './assumption-words';
import { LaterLimitFields } from './later-limit-fields';
import { MorePeopleFields } from './more-people-fields';
import type { DowntimePlan } from './plan-words';
import { RosterNeedFields } from './roster-need-fields';
import type { AssumptionFieldsProps } from './assumption-fields-props';

const FIELDS: Record<AssumptionKind, React.ComponentType<AssumptionFieldsProps>> = {
  'more-technicians': MorePeopleFields,
  'bay-closed': BayClosedFields,
  'roster-need': RosterNeedFields,
  'later-limit': LaterLimitFields,
};

export function AssumptionForm({
  plan,
  onAdd,
}: {
  plan: DowntimePlan;
  onAdd: (assumption: Assumption) => void;
}) {
  const [kind, setKind] = useState<AssumptionKind>('more-technicians');
  const [assumption, setAssumption] = useState<Assumption | null>(null);
  const FieldsOfKind = FIELDS[kind];
  return (
    <fieldset className="stack">
      <legend>What is otherwise</legend>
      <SelectField
        label="Kind"
        value={kind}
        onChange={(event) => {
          setAssumption(null);
          setKind(event.target.value as AssumptionKind);
        }}
      >
        {Object.entries(ASSUMPTION_KINDS).map(([key, words]) => (
          <option key={key} value={key}>
            {words}
          </option>
        ))}
      </SelectField>
      <FieldsOfKind key={`${kind} ${plan.id}`} plan={plan} onChange={setAssumption} />
      <div className="row">
        <Button
          disabled={assumption === null}
          onClick={() => (assumption === null ? undefined : onAdd(assumption))}
        >
          Assume it
        </Button>
      </div>
    </fieldset>
  );
}
