import { useMutation, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Button } from '../../design/button';
import { SelectField, TextField } from '../../design/field';
import { ProblemNotice } from '../../design/notice';
import { AssumptionForm } from './assumption-form';
import { AssumptionText } from './assumption-list';
import type { Assumption } from './assumption-words';
import type { DowntimePlan } from './plan-words';
import { plans as plansQuery, startPlan } from './planner-data';

interface StartWhatIfProps {
  plans: readonly DowntimePlan[];
  onStarted: (basedOnId: string, planId: string) => void;
}

/** Starts a plan like another one, as if something were otherwise. */
export function StartWhatIf({ plans, onStarted }: StartWhatIfProps) {
  const client = useQueryClient();
  const [chosen, setChosen] = useState('');
  const [name, setName] = useState('');
  const [assumptions, setAssumptions] = useState<Assumption[]>([]);
  const base = plans.find(({ id }) => id === chosen) ?? plans.find((plan) => plan.assumptions.length === 0);
  const start = useMutation({
    mutationFn: (basedOn: DowntimePlan) =>
      startPlan({
        basedOnId: basedOn.id,
        name: name.trim() === '' ? `What if: ${basedOn.name}`.slice(0, 120) : name.trim(),
        assumptions,
      }),
    onSuccess: async ({ id }, { id: basedOnId }) => {
      await client.invalidateQueries({ queryKey: plansQuery.queryKey, exact: true });
      setAssumptions([]);
      setName('');
      onStarted(basedOnId, id);
    },
  });
  if (base === undefined) return null;
  return (
    <section className="sheet stack" aria-label="Assume something">
      <h2>Assume something</h2>
      <div className="columns">
        <SelectField
          label="Like the plan"
          value={base.id}
          onChange={(event) => setChosen(event.target.value)}
        >
          {plans.map((plan) => (
            <option key={plan.id} value={plan.id}>
              {plan.name}
            </option>
          ))}
        </SelectField>
        <TextField
          label="Name"
          hint="Left empty, it is called after that plan."
          value={name}
          maxLength={120}
          onChange={(event) => setName(event.target.value)}
        />
      </div>
      <AssumptionForm plan={base} onAdd={(assumption) => setAssumptions([...assumptions, assumption])} />
      {assumptions.length === 0 ? (
        <p className="soft">Nothing is assumed yet.</p>
      ) : (
        <ul>
          {assumptions.map((assumption, at) => (
            <li key={at}>
              <AssumptionText assumption={assumption} />{' '}
              <Button
                kind="quiet"
                onClick={() => setAssumptions(assumptions.filter((each) => each !== assumption))}
              >
                Take back<span className="unseen"> assumption {at + 1}</span>
              </Button>
            </li>
          ))}
        </ul>
      )}
      <ProblemNotice error={start.error} />
      <div className="row">
        <Button
          kind="main"
          disabled={assumptions.length === 0}
          busy={start.isPending}
          onClick={() => start.mutate(base)}
        >
          Plan as if it were so
        </Button>
      </div>
    </section>
  );
}
