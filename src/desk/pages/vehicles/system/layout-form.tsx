import { useMutation } from '@tanstack/react-query';
import { useMemo } from 'react';
import { useForm, useWatch } from 'react-hook-form';
import { effectiveLayout } from '../../../../core/hydraulics/layout-conclusions';
import { isRecorded, VARIANT_FACTS, type LayoutFact } from '../../../../core/hydraulics/hydraulic-layout';
import { answered, api, ifMatch } from '../../../api/client';
import { faultDetail, ProblemError } from '../../../api/problem';
import { Button } from '../../../design/button';
import { CheckField, SelectField, TextField } from '../../../design/field';
import { Notice, ProblemNotice } from '../../../design/notice';
import { todayOn } from '../../../format/days';
import { typedNumber } from '../../../format/units';
import { useReader } from '../../../session/session';
import { drawSystem } from '../drawing/draw-system';
import { FluidSystem } from '../drawing/system-drawing';
import { useVehicleChanged, type HydraulicSystem, type Vehicle } from '../vehicle-queries';
import { choicesFor, contradictionsOf, FACT_NAMES, FLUIDS, valueWords } from './facts';
import { layoutOf, recordOf, type LayoutInput } from './layout-record';
import { useDrawnUnits } from './use-drawn-units';

interface LayoutFormProps {
  vehicle: Vehicle;
  zone: string;
  system: HydraulicSystem;
}

/** Records what somebody has seen, and draws at once what it would mean. */
export function LayoutForm({ vehicle, zone, system }: LayoutFormProps) {
  const { locale, session } = useReader();
  const changed = useVehicleChanged(vehicle.id);
  const form = useForm<LayoutInput>({
    defaultValues: {
      ...system,
      fluid: system.fluid ?? '',
      reservoirLitres: system.reservoirLitres?.toLocaleString(locale) ?? '',
      seen: [],
      seenBy: session.person.name,
      seenOn: todayOn(zone),
      how: '',
    },
  });
  const { register, handleSubmit, control, getValues, setValue } = form;
  const record = useMutation({
    mutationFn: (input: LayoutInput) => {
      const { seen, seenBy, seenOn, how } = input;
      const layout = layoutOf(input, typedNumber(input.reservoirLitres, locale));
      return answered(
        api.PUT('/v1/vehicles/{vehicleId}/hydraulic-system', {
          params: { path: { vehicleId: vehicle.id }, header: ifMatch(system) },
          body: recordOf(system, layout, seen, { seenBy, seenOn, how }),
        }),
      );
    },
    onSuccess: changed,
  });
  const problem = record.error instanceof ProblemError ? record.error.problem : undefined;
  const contradictions = contradictionsOf(problem?.contradictions ?? []);
  const faultAt = (fact: LayoutFact): string | undefined =>
    contradictions
      .filter(({ fields }) => fields.some((each) => each === fact))
      .map(({ reason, remedy }) => `${reason}. To do: ${remedy}.`)
      .join(' ') || faultDetail(record.error, `#/${fact}`);
  // what somebody changes they have, as a rule, just seen
  const markSeen = (fact: LayoutFact) => () => {
    const seen = getValues('seen');
    if (!seen.includes(fact)) setValue('seen', [...seen, fact]);
  };
  const seen = useWatch({ control, name: 'seen' });

  return (
    <form className="stack" onSubmit={(event) => void handleSubmit((input) => record.mutate(input))(event)}>
      <Notice tone="warn" title="Looking is safe, opening is not">
        <p>
          Engine off, vehicle on stands before you reach under it: it drops without warning. Open no pipe and
          turn no adjuster.
        </p>
      </Notice>
      <div className="columns">
        {VARIANT_FACTS.map((fact) => (
          <div key={fact} className="sheet stack">
            <SelectField
              label={FACT_NAMES[fact]}
              fault={faultAt(fact)}
              {...register(fact, { onChange: markSeen(fact) })}
            >
              {choicesFor(fact).map((value) => (
                <option key={value} value={value}>
                  {valueWords(value)}
                </option>
              ))}
            </SelectField>
            {seenBox(fact, isRecorded(system, fact))}
          </div>
        ))}
        <div className="sheet stack">
          <SelectField
            label={FACT_NAMES.fluid}
            fault={faultAt('fluid')}
            {...register('fluid', { onChange: markSeen('fluid') })}
          >
            <option value="">not verified</option>
            {[...new Set([...FLUIDS, ...(system.fluid === null ? [] : [system.fluid])])].map((fluid) => (
              <option key={fluid} value={fluid}>
                {valueWords(fluid)}
              </option>
            ))}
          </SelectField>
          {seenBox('fluid', system.fluid !== null)}
        </div>
        <div className="sheet stack">
          <TextField
            label={FACT_NAMES.reservoirLitres}
            unit="l"
            inputMode="decimal"
            hint="Empty: not verified"
            fault={form.formState.errors.reservoirLitres?.message ?? faultAt('reservoirLitres')}
            {...register('reservoirLitres', {
              onChange: markSeen('reservoirLitres'),
              validate: (text) =>
                text.trim() === '' ||
                typedNumber(text, locale) !== null ||
                'This is no number. Type litres, such as 5.2.',
            })}
          />
          {seenBox('reservoirLitres', system.reservoirLitres !== null)}
        </div>
      </div>
      <fieldset className="stack sheet">
        <legend>How you know what is ticked as seen</legend>
        <div className="columns">
          <TextField label="Seen by" required={seen.length > 0} {...register('seenBy')} />
          <TextField
            label="Seen on"
            type="date"
            max={todayOn(zone)}
            required={seen.length > 0}
            {...register('seenOn')}
          />
          <TextField
            label="How"
            hint="Such as: cover off, two outlets counted"
            required={seen.length > 0}
            {...register('how')}
          />
        </div>
      </fieldset>
      <ProblemNotice error={contradictions.length > 0 ? null : record.error} />
      {contradictions.length > 0 ? (
        <Notice tone="bad" title="Not recorded: these facts contradict each other" live>
          <ul>
            {contradictions.map(({ reason }) => (
              <li key={reason}>{reason}.</li>
            ))}
          </ul>
        </Notice>
      ) : null}
      <div className="row">
        <Button kind="main" type="submit" busy={record.isPending}>
          Record what was seen
        </Button>
      </div>
      <Preview vehicle={vehicle} input={useWatch({ control })} />
    </form>
  );

  function seenBox(fact: LayoutFact, known: boolean) {
    return (
      <CheckField
        label={
          <>
            Seen<span className="unseen">: {FACT_NAMES[fact]}</span>
          </>
        }
        hint={known ? 'Tick it when you have looked again' : undefined}
        value={fact}
        {...register('seen')}
      />
    );
  }
}

function Preview({ vehicle, input }: { vehicle: Vehicle; input: Partial<LayoutInput> }) {
  const { locale } = useReader();
  const { units } = useDrawnUnits(vehicle.id);
  const drawing = useMemo(() => {
    if (units === undefined) return undefined;
    const layout = layoutOf(input as LayoutInput, typedNumber(input.reservoirLitres ?? '', locale));
    return drawSystem({ recorded: true, effective: effectiveLayout(layout), units });
  }, [units, input, locale]);
  if (drawing === undefined) return null;
  return (
    <section className="stack screen-only" aria-labelledby="preview">
      <h3 id="preview">As it would be recorded</h3>
      <FluidSystem drawing={drawing} of={`${vehicle.registrationMark}, as it would be recorded`} />
    </section>
  );
}
