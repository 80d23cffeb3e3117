import { useMutation } from '@tanstack/react-query';
import { useForm } from 'react-hook-form';
import { addDays } from '../../../../core/shared/calendar-date';
import { answered, api } from '../../../api/client';
import { faultDetail } from '../../../api/problem';
import { Button } from '../../../design/button';
import { TextField } from '../../../design/field';
import { ProblemNotice } from '../../../design/notice';
import { todayOn } from '../../../format/days';
import { useVehicleChanged } from '../vehicle-queries';
import type { PeriodKind } from './period-kind';

interface PeriodInput {
  fromOn: string;
  lastOn: string;
  reason: string;
}

const ADD = {
  'off-road-periods': 'Add days off the road',
  'blackout-periods': 'Add days on the road',
} as const;

/** Adds a period. People say its last day; the record keeps the first day after it. */
export function PeriodForm({ kind, vehicleId, zone }: { kind: PeriodKind; vehicleId: string; zone: string }) {
  const changed = useVehicleChanged(vehicleId);
  const { register, handleSubmit, reset, formState, getValues } = useForm<PeriodInput>({
    defaultValues: { fromOn: todayOn(zone), lastOn: todayOn(zone), reason: '' },
  });
  const add = useMutation({
    mutationFn: ({ fromOn, lastOn, reason }: PeriodInput): Promise<unknown> => {
      const sent = { params: { path: { vehicleId } }, body: { fromOn, untilOn: addDays(lastOn, 1), reason } };
      return kind === 'off-road-periods'
        ? answered(api.POST('/v1/vehicles/{vehicleId}/off-road-periods', sent))
        : answered(api.POST('/v1/vehicles/{vehicleId}/blackout-periods', sent));
    },
    onSuccess: async () => {
      reset();
      await changed();
    },
  });
  const faultAt = (pointer: string) => faultDetail(add.error, pointer);
  return (
    <details className="sheet screen-only">
      <summary>{ADD[kind]}</summary>
      <form className="stack" onSubmit={(event) => void handleSubmit((form) => add.mutate(form))(event)}>
        <TextField
          label="First day"
          type="date"
          required
          fault={faultAt('#/fromOn')}
          {...register('fromOn')}
        />
        <TextField
          label="Last day"
          type="date"
          required
          fault={formState.errors.lastOn?.message ?? faultAt('#/untilOn')}
          {...register('lastOn', {
            validate: (lastOn) =>
              lastOn >= getValues('fromOn') ||
              'It is before the first day. Choose the same day or a later one.',
          })}
        />
        <TextField label="Why" required maxLength={500} fault={faultAt('#/reason')} {...register('reason')} />
        <ProblemNotice error={add.error} />
        <div className="row">
          <Button kind="main" type="submit" busy={add.isPending}>
            Add
          </Button>
        </div>
      </form>
    </details>
  );
}
