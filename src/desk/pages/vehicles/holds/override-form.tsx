import { useMutation } from '@tanstack/react-query';
import { useForm } from 'react-hook-form';
import { addDays } from '../../../../core/shared/calendar-date';
import { answered, api, type Schemas } from '../../../api/client';
import { faultDetail } from '../../../api/problem';
import { Button } from '../../../design/button';
import { CheckField, TextField } from '../../../design/field';
import { ProblemNotice } from '../../../design/notice';
import { useVehicleChanged } from '../vehicle-queries';
import { useTold } from '../../../session/use-told';

interface OverrideFormProps {
  vehicleId: string;
  todayOn: string;
  reasons: readonly Schemas['HoldReasonDto'][];
}

interface OverrideInput {
  reasonKeys: string[];
  untilOn: string;
  namedPerson: string;
  statement: string;
}

const LONGEST_DAYS = 29;

/** A named person's decision to let a vehicle go in spite of some reasons. */
export function OverrideForm({ vehicleId, todayOn, reasons }: OverrideFormProps) {
  const told = useTold();
  const changed = useVehicleChanged(vehicleId);
  const { register, handleSubmit, reset } = useForm<OverrideInput>({
    defaultValues: { reasonKeys: [], untilOn: todayOn, namedPerson: '', statement: '' },
  });
  const override = useMutation({
    mutationFn: (form: OverrideInput) =>
      answered(
        api.POST('/v1/vehicles/{vehicleId}/hold-overrides', {
          params: { path: { vehicleId } },
          body: { ...form, fromOn: todayOn },
        }),
      ),
    onSuccess: async () => {
      reset();
      await changed();
    },
  });
  const faultAt = (pointer: string) => faultDetail(override.error, pointer);
  return (
    <details className="sheet screen-only">
      <summary>Override a reason in somebody&apos;s name</summary>
      <form className="stack" onSubmit={(event) => void handleSubmit((form) => override.mutate(form))(event)}>
        <p>
          The software only advises: the maker&apos;s manual, local law and a licensed person decide whether
          the vehicle may move.
        </p>
        <fieldset>
          <legend>Reasons that it lifts</legend>
          {reasons.map(({ key, text }) => (
            <CheckField key={key} label={told(text)} value={key} {...register('reasonKeys')} />
          ))}
        </fieldset>
        <TextField
          label="Last day"
          type="date"
          required
          min={todayOn}
          max={addDays(todayOn, LONGEST_DAYS)}
          fault={faultAt('#/untilOn')}
          {...register('untilOn')}
        />
        <TextField
          label="Who decides, by name"
          required
          fault={faultAt('#/namedPerson')}
          {...register('namedPerson')}
        />
        <TextField
          label="What the decision rests on, and under which conditions it may move"
          required
          fault={faultAt('#/statement')}
          {...register('statement')}
        />
        <ProblemNotice error={override.error} />
        <div className="row">
          <Button kind="danger" type="submit" busy={override.isPending}>
            Record the override
          </Button>
        </div>
      </form>
    </details>
  );
}
