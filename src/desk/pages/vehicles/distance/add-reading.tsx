import { useMutation } from '@tanstack/react-query';
import { useForm } from 'react-hook-form';
import { answered, api } from '../../../api/client';
import { faultDetail } from '../../../api/problem';
import { Button } from '../../../design/button';
import { SelectField, TextField } from '../../../design/field';
import { Notice, ProblemNotice } from '../../../design/notice';
import { nowAsTyped, instantOf } from '../../../format/days';
import { distanceUnits, typedNumber, type DistanceUnit } from '../../../format/units';
import { useReader } from '../../../session/session';
import { useVehicleChanged, type Vehicle } from '../vehicle-queries';

interface ReadingInput {
  value: string;
  unit: DistanceUnit;
  readAt: string;
}

/** Adds a reading: in the unit that the reader is used to, at the time of the depot. */
export function AddReading({ vehicle, zone }: { vehicle: Vehicle; zone: string }) {
  const { locale, distanceUnit } = useReader();
  const changed = useVehicleChanged(vehicle.id);
  const { register, handleSubmit, reset, formState } = useForm<ReadingInput>({
    defaultValues: { value: '', unit: distanceUnit, readAt: nowAsTyped(zone) },
  });
  const add = useMutation({
    mutationFn: ({ value, unit, readAt }: ReadingInput) =>
      answered(
        api.POST('/v1/vehicles/{vehicleId}/odometer-readings', {
          params: { path: { vehicleId: vehicle.id } },
          body: {
            value: typedNumber(value, locale) ?? 0,
            unit,
            readAt: instantOf(readAt, zone),
            source: 'desk',
          },
        }),
      ),
    onSuccess: async (_, { unit }) => {
      reset({ value: '', unit, readAt: nowAsTyped(zone) });
      await changed();
    },
  });
  const faultAt = (pointer: string) => faultDetail(add.error, pointer);
  return (
    <form
      className="stack sheet screen-only"
      onSubmit={(event) => void handleSubmit((form) => add.mutate(form))(event)}
    >
      <h3>Add a reading</h3>
      <div className="columns">
        <TextField
          label="The odometer shows"
          inputMode="decimal"
          hint={`Its instrument counts in ${vehicle.odometerUnit}.`}
          fault={formState.errors.value?.message ?? faultAt('#/value')}
          {...register('value', {
            validate: (text) =>
              typedNumber(text, locale) !== null || 'This is no number. Type what it shows.',
          })}
        />
        <SelectField label="Unit" {...register('unit')}>
          {distanceUnits.map((unit) => (
            <option key={unit}>{unit}</option>
          ))}
        </SelectField>
        <TextField
          label="Read at"
          type="datetime-local"
          required
          hint={`Local time at the depot (${zone})`}
          fault={faultAt('#/readAt')}
          {...register('readAt')}
        />
      </div>
      <ProblemNotice error={add.error} />
      {add.data === undefined ? null : add.data.state === 'quarantined' ? (
        <Notice tone="warn" live title="Recorded, but it cannot be right: it waits for a decision above" />
      ) : (
        <Notice tone="good" live title="Recorded" />
      )}
      <div className="row">
        <Button kind="main" type="submit" busy={add.isPending}>
          Add the reading
        </Button>
      </div>
    </form>
  );
}
