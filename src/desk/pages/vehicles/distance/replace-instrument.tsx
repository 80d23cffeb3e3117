import { useMutation, useQuery } from '@tanstack/react-query';
import { useForm, useWatch } from 'react-hook-form';
import { answered, api, ifMatch } from '../../../api/client';
import { faultDetail } from '../../../api/problem';
import { Button } from '../../../design/button';
import { SelectField, TextField } from '../../../design/field';
import { Notice, ProblemNotice } from '../../../design/notice';
import { TakeBack } from '../../../design/take-back';
import { momentText, nowAsTyped, instantOf } from '../../../format/days';
import { distanceUnits, numberText, typedNumber, type DistanceUnit } from '../../../format/units';
import { inWords } from '../../../format/words';
import { useHasRole, useReader } from '../../../session/session';
import { useVehicleChanged, vehicleQueries, type Vehicle } from '../vehicle-queries';

interface Replacement {
  meter: 'odometer' | 'engine-hours';
  replacedAt: string;
  oldUnit: DistanceUnit;
  newUnit: DistanceUnit;
  oldFinalValue: string;
  newInitialValue: string;
  note: string;
}

/** The replacements on record; each can be taken back. */
function Replacements({ vehicle, zone }: { vehicle: Vehicle; zone: string }) {
  const { locale } = useReader();
  const mayTakeBack = useHasRole('fleet-planner', 'front-desk', 'administrator');
  const changed = useVehicleChanged(vehicle.id);
  const { data: replacements = [], error } = useQuery(vehicleQueries(vehicle.id).replacements);
  return (
    <>
      <ProblemNotice error={error} />
      <ul>
        {replacements.map((each) => (
          <li key={each.id}>
            {inWords(each.meter)}, {momentText(each.replacedAt, zone, locale)}: the old one showed{' '}
            {numberText(each.oldFinalValue, locale, 0)} {each.oldUnit}, the new one{' '}
            {numberText(each.newInitialValue, locale, 0)} {each.newUnit}{' '}
            {mayTakeBack ? (
              <TakeBack
                what={`the replacement of ${momentText(each.replacedAt, zone, locale)}`}
                asksWhy={false}
                send={() =>
                  answered(
                    api.DELETE('/v1/odometer-replacements/{replacementId}', {
                      params: { path: { replacementId: each.id }, header: ifMatch(each) },
                    }),
                  )
                }
                onDone={changed}
              >
                Readings count as if it had never been, and what is due follows.
              </TakeBack>
            ) : null}
          </li>
        ))}
      </ul>
    </>
  );
}

/** Records that the instrument was replaced, so that the distance goes on where the old one ended. */
export function ReplaceInstrument({ vehicle, zone }: { vehicle: Vehicle; zone: string }) {
  const { locale } = useReader();
  const changed = useVehicleChanged(vehicle.id);
  const { register, handleSubmit, reset, control, formState } = useForm<Replacement>({
    defaultValues: {
      meter: 'odometer',
      replacedAt: nowAsTyped(zone),
      oldUnit: vehicle.odometerUnit,
      newUnit: vehicle.odometerUnit,
      oldFinalValue: '',
      newInitialValue: '0',
      note: '',
    },
  });
  const meter = useWatch({ control, name: 'meter' });
  const record = useMutation({
    mutationFn: ({
      meter,
      replacedAt,
      oldUnit,
      newUnit,
      oldFinalValue,
      newInitialValue,
      note,
    }: Replacement) =>
      answered(
        api.POST('/v1/vehicles/{vehicleId}/odometer-replacements', {
          params: { path: { vehicleId: vehicle.id } },
          body: {
            meter,
            replacedAt: instantOf(replacedAt, zone),
            oldUnit: meter === 'odometer' ? oldUnit : 'h',
            newUnit: meter === 'odometer' ? newUnit : 'h',
            oldFinalValue: typedNumber(oldFinalValue, locale) ?? 0,
            newInitialValue: typedNumber(newInitialValue, locale) ?? 0,
            note: note.trim() === '' ? null : note,
          },
        }),
      ),
    onSuccess: async () => {
      reset();
      await changed();
    },
  });
  const faultAt = (pointer: string) => faultDetail(record.error, pointer);
  const isNumber = (text: string) =>
    typedNumber(text, locale) !== null || 'This is no number. Type what it showed.';
  const units = distanceUnits.map((unit) => <option key={unit}>{unit}</option>);
  return (
    <details className="sheet screen-only">
      <summary>The instrument was replaced</summary>
      <Replacements vehicle={vehicle} zone={zone} />
      <form className="stack" onSubmit={(event) => void handleSubmit((form) => record.mutate(form))(event)}>
        <div className="columns">
          <SelectField label="Which" {...register('meter')}>
            <option value="odometer">Odometer</option>
            <option value="engine-hours">Engine hours</option>
          </SelectField>
          <TextField
            label="Replaced at"
            type="datetime-local"
            required
            hint={`Local time at the depot (${zone})`}
            fault={faultAt('#/replacedAt')}
            {...register('replacedAt')}
          />
          <TextField
            label="The old one showed at the end"
            inputMode="decimal"
            fault={formState.errors.oldFinalValue?.message ?? faultAt('#/oldFinalValue')}
            {...register('oldFinalValue', { validate: isNumber })}
          />
          <TextField
            label="The new one showed at the beginning"
            inputMode="decimal"
            fault={formState.errors.newInitialValue?.message ?? faultAt('#/newInitialValue')}
            {...register('newInitialValue', { validate: isNumber })}
          />
          {meter === 'odometer' ? (
            <>
              <SelectField label="The old one counted in" {...register('oldUnit')}>
                {units}
              </SelectField>
              <SelectField label="The new one counts in" {...register('newUnit')}>
                {units}
              </SelectField>
            </>
          ) : null}
          <TextField label="Note" maxLength={500} {...register('note')} />
        </div>
        <ProblemNotice error={record.error} />
        {record.data === undefined ? null : (
          <Notice tone="good" live title="Recorded">
            <p>Readings that it explains wait above for a decision, as before.</p>
          </Notice>
        )}
        <div className="row">
          <Button kind="main" type="submit" busy={record.isPending}>
            Record the replacement
          </Button>
        </div>
      </form>
    </details>
  );
}
