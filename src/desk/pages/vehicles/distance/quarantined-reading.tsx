import { useMutation } from '@tanstack/react-query';
import { useForm, useWatch } from 'react-hook-form';
import { answered, api, ifMatch, type Schemas } from '../../../api/client';
import { faultDetail } from '../../../api/problem';
import { Button } from '../../../design/button';
import { SelectField, TextField } from '../../../design/field';
import { Notice, ProblemNotice } from '../../../design/notice';
import { momentText } from '../../../format/days';
import { numberText, typedNumber } from '../../../format/units';
import { useHasRole, useReader } from '../../../session/session';
import { useTold } from '../../../session/use-told';
import { useVehicleChanged } from '../vehicle-queries';

type Reading = Schemas['OdometerReadingDto'];

interface Decision {
  decision: Schemas['DecideReadingDto']['decision'];
  value: string;
  note: string;
}

/** A reading that cannot be right, why, and what those who may decide about it. */
export function QuarantinedReading({ reading, zone }: { reading: Reading; zone: string }) {
  const { locale } = useReader();
  const told = useTold();
  const mayDecide = useHasRole('fleet-planner', 'front-desk', 'administrator');
  const { value, unit, readAt, suspicions, suggestedValue } = reading;
  return (
    <li>
      <Notice
        tone="warn"
        title={`${numberText(value, locale, 0)} ${unit}, ${momentText(readAt, zone, locale)}`}
      >
        <ul>
          {suspicions.map(({ code, explanation }) => (
            <li key={code}>{told(explanation)}</li>
          ))}
        </ul>
        {suggestedValue === null ? null : (
          <p>
            Probably {numberText(suggestedValue, locale, 0)} {unit}.
          </p>
        )}
        {mayDecide ? (
          <DecisionForm reading={reading} />
        ) : (
          <p>It counts for nothing until the front desk or a fleet planner has decided.</p>
        )}
      </Notice>
    </li>
  );
}

function DecisionForm({ reading }: { reading: Reading }) {
  const { locale } = useReader();
  const changed = useVehicleChanged(reading.vehicleId);
  const suggested = reading.suggestedValue;
  const { register, handleSubmit, control, formState } = useForm<Decision>({
    defaultValues: {
      decision: suggested === null ? 'reject' : 'accept-corrected',
      value: suggested === null ? '' : numberText(suggested, locale, 0),
      note: '',
    },
  });
  const decision = useWatch({ control, name: 'decision' });
  const decide = useMutation({
    mutationFn: ({ decision, value, note }: Decision) => {
      const corrected = decision === 'accept-corrected' ? typedNumber(value, locale) : null;
      return answered(
        api.POST('/v1/odometer-readings/{readingId}/decision', {
          params: { path: { readingId: reading.id }, header: ifMatch(reading) },
          body: { decision, note, ...(corrected === null ? {} : { value: corrected }) },
        }),
      );
    },
    onSuccess: changed,
  });
  const faultAt = (pointer: string) => faultDetail(decide.error, pointer);
  return (
    <form
      className="stack screen-only"
      onSubmit={(event) => void handleSubmit((form) => decide.mutate(form))(event)}
    >
      <div className="columns">
        <SelectField label="Decision" {...register('decision')}>
          <option value="accept">It is right: let it count</option>
          <option value="accept-corrected">Let it count with another value</option>
          <option value="reject">Reject it</option>
        </SelectField>
        {decision === 'accept-corrected' ? (
          <TextField
            label="The right value"
            unit={reading.unit}
            inputMode="decimal"
            fault={formState.errors.value?.message ?? faultAt('#/value')}
            {...register('value', {
              validate: (text) =>
                typedNumber(text, locale) !== null || 'This is no number. Type what it showed.',
            })}
          />
        ) : null}
        <TextField
          label="Why"
          hint="It stays on file."
          required
          maxLength={500}
          fault={faultAt('#/note')}
          {...register('note')}
        />
      </div>
      <ProblemNotice error={decide.error} />
      <div className="row">
        <Button kind="main" type="submit" busy={decide.isPending}>
          Decide
        </Button>
      </div>
    </form>
  );
}
