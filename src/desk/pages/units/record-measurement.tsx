import { useMutation, useQuery } from '@tanstack/react-query';
import { DateTime } from 'luxon';
import { useForm, useWatch } from 'react-hook-form';
import { answered, api, type Schemas } from '../../api/client';
import { faultDetail } from '../../api/problem';
import { Button } from '../../design/button';
import { SelectField, TextField } from '../../design/field';
import { Notice, ProblemNotice } from '../../design/notice';
import { nowAsTyped, instantOf } from '../../format/days';
import { pressureText, toBar, typedNumber } from '../../format/units';
import { useReader } from '../../session/session';
import { at20Degrees } from './at-20-degrees';
import type { Forecast } from './outlook-words';
import { gaugesQuery, unitTypeQuery, useUnitChanged } from './unit-queries';

interface Measurement {
  kind: 'precharge-test' | 'charge';
  pressure: string;
  temperature: string;
  doneAt: string;
  gaugeId: string;
  doneBy: string;
  note: string;
}

interface RecordMeasurementProps {
  unit: Schemas['GasUnitDetailsDto'];
  forecast: Forecast | undefined;
}

/** Records a precharge test or a charge; what it comes to at 20 °C is told as it is typed. */
export function RecordMeasurement({ unit, forecast }: RecordMeasurementProps) {
  const { locale, pressureUnit, session } = useReader();
  const zone = forecast?.zone ?? DateTime.local().zoneName;
  const changed = useUnitChanged(unit.id);
  const { data: gauges = [] } = useQuery(gaugesQuery);
  const { register, handleSubmit, reset, control, formState } = useForm<Measurement>({
    defaultValues: {
      kind: 'precharge-test',
      pressure: '',
      temperature: '',
      doneAt: nowAsTyped(zone),
      gaugeId: '',
      doneBy: session.person.name,
      note: '',
    },
  });
  const [kind, pressure, temperature] = useWatch({ control, name: ['kind', 'pressure', 'temperature'] });
  const barOf = (text: string): number | null => {
    const typed = typedNumber(text, locale);
    return typed === null ? null : toBar(typed, pressureUnit);
  };
  const record = useMutation({
    mutationFn: (input: Measurement) => {
      const { gaugeId, note, doneBy } = input;
      const params = { path: { gasUnitId: unit.id } };
      const body = {
        doneAt: instantOf(input.doneAt, zone),
        pressureBarGauge: barOf(input.pressure) ?? 0,
        gasTemperatureC: typedNumber(input.temperature, locale) ?? 0,
        gaugeId: gaugeId === '' ? null : gaugeId,
        doneBy,
        note: note.trim() === '' ? null : note,
      };
      return input.kind === 'charge'
        ? answered(
            api.POST('/v1/gas-units/{gasUnitId}/charges', { params, body: { ...body, gas: 'nitrogen' } }),
          )
        : answered(api.POST('/v1/gas-units/{gasUnitId}/precharge-tests', { params, body }));
    },
    onSuccess: async (_, { kind: again, gaugeId, doneBy }) => {
      reset({
        kind: again,
        pressure: '',
        temperature: '',
        doneAt: nowAsTyped(zone),
        gaugeId,
        doneBy,
        note: '',
      });
      await changed();
    },
  });
  const faultAt = (pointer: string) => faultDetail(record.error, pointer);
  const isNumber = (text: string) =>
    typedNumber(text, locale) !== null || 'This is no number. Type what it shows.';

  return (
    <details className="sheet screen-only">
      <summary>Record a precharge test or a charge</summary>
      <form className="stack" onSubmit={(event) => void handleSubmit((input) => record.mutate(input))(event)}>
        {kind === 'charge' ? (
          <Notice tone="bad" title="Dry nitrogen only, never oxygen or air">
            <p>Use a regulator, a charging rig and a gauge that are rated for the pressure.</p>
          </Notice>
        ) : null}
        <div className="columns">
          <SelectField label="What was done" {...register('kind')}>
            <option value="precharge-test">Precharge test</option>
            <option value="charge">Charge with dry nitrogen</option>
          </SelectField>
          <TextField
            label="The gauge shows"
            unit={pressureUnit}
            inputMode="decimal"
            hint="With no fluid pressure on the other side"
            fault={formState.errors.pressure?.message ?? faultAt('#/pressureBarGauge')}
            {...register('pressure', { validate: isNumber })}
          />
          <TextField
            label="Temperature of the gas"
            unit="°C"
            inputMode="text"
            hint="Once the unit has settled to its surroundings"
            fault={formState.errors.temperature?.message ?? faultAt('#/gasTemperatureC')}
            {...register('temperature', { validate: isNumber })}
          />
          <TextField
            label="Read at"
            type="datetime-local"
            hint={`Local time (${zone})`}
            required
            fault={faultAt('#/doneAt')}
            {...register('doneAt')}
          />
          <SelectField label="Gauge" fault={faultAt('#/gaugeId')} {...register('gaugeId')}>
            <option value="">Not recorded</option>
            {gauges.map(({ id, code, name, calibrationOverdue }) => (
              <option key={id} value={id}>
                {code}, {name}
                {calibrationOverdue ? ' (calibration overdue)' : ''}
              </option>
            ))}
          </SelectField>
          <TextField label="Done by" required fault={faultAt('#/doneBy')} {...register('doneBy')} />
          <TextField label="Note" maxLength={500} {...register('note')} />
        </div>
        <AsTyped
          bar={barOf(pressure)}
          temperatureC={typedNumber(temperature, locale)}
          gasUnitTypeId={unit.unitTypeId}
          limitBar={forecast?.limit.limit20BarGauge}
        />
        <ProblemNotice error={record.error} />
        <Recorded event={record.data} />
        <div className="row">
          <Button kind="main" type="submit" busy={record.isPending}>
            Record the {kind === 'charge' ? 'charge' : 'test'}
          </Button>
        </div>
      </form>
    </details>
  );
}

interface AsTypedProps {
  bar: number | null;
  temperatureC: number | null;
  gasUnitTypeId: string;
  limitBar: number | undefined;
}

function AsTyped({ bar, temperatureC, gasUnitTypeId, limitBar }: AsTypedProps) {
  const { locale, pressureUnit } = useReader();
  const { data: type } = useQuery(unitTypeQuery(gasUnitTypeId));
  const result = at20Degrees(bar, temperatureC);
  if (result === null) return <p className="soft">What it comes to at 20 °C is told here as you type.</p>;
  if ('fault' in result)
    return (
      <Notice tone="warn" title={result.fault} live>
        <p>{result.remedy}</p>
      </Notice>
    );
  const { precharge20BarGauge: at20, warnings } = result;
  const text = (value: number): string => pressureText(value, pressureUnit, locale);
  const below = limitBar !== undefined && at20 < limitBar;
  return (
    <Notice tone={below ? 'bad' : 'info'} title={`${text(at20)} at 20 °C`} live>
      {type === undefined ? null : (
        <p>
          {Math.round((at20 / type.nominalPrecharge20BarGauge) * 100)} % of the nominal{' '}
          {text(type.nominalPrecharge20BarGauge)}
          {limitBar === undefined
            ? ''
            : below
              ? `, below the limit of ${text(limitBar)}`
              : `; limit ${text(limitBar)}`}
        </p>
      )}
      {warnings.map((warning) => (
        <p key={warning}>{warning}</p>
      ))}
    </Notice>
  );
}

function Recorded({ event }: { event: Schemas['RecordedGasUnitEventDto'] | undefined }) {
  const { locale, pressureUnit } = useReader();
  if (event === undefined) return null;
  const { outcome, precharge20BarGauge, outcomeReasons, warnings } = event;
  return (
    <Notice
      tone={outcome === 'passed' ? 'good' : outcome === 'failed' ? 'bad' : 'warn'}
      title={`Recorded: ${pressureText(precharge20BarGauge, pressureUnit, locale)} at 20 °C, ${outcome}`}
      live
    >
      {[...outcomeReasons, ...warnings].map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
    </Notice>
  );
}
