import { useMemo, useState } from 'react';
import { answered, api, ifMatch, type Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { DataTable } from '../../../design/data-table';
import { Dialog } from '../../../design/dialog';
import { StateMark } from '../../../design/state-mark';
import { dayText } from '../../../format/days';
import { pressureText } from '../../../format/units';
import { useReader } from '../../../session/session';
import { actions, column } from '../parts/columns';
import { useReadAgain, useWholeList } from '../parts/lists';
import { Listed } from '../parts/listed';
import { Part } from '../parts/part';
import { RecordForm } from '../parts/record-form';
import { textOrNull } from '../parts/typed';
import { shownPressure, typedPressure } from './pressures';

type Gauge = Schemas['GaugeDto'];

export function GaugesPart() {
  const gauges = useWholeList(['gauges'], (query) =>
    answered(api.GET('/v1/gauges', { params: { query: { ...query, includeRetired: true } } })),
  );
  const { locale, pressureUnit } = useReader();
  const [edited, setEdited] = useState<Gauge | 'new' | null>(null);
  const columns = useMemo(
    () => [
      column<Gauge>('Gauge', ({ name }) => name),
      column<Gauge>(
        'Code on it',
        ({ code }) => code,
        ({ code }) => <span className="digits">{code}</span>,
      ),
      column<Gauge>(
        'End of the scale',
        (gauge) => gauge.rangeHighBarGauge,
        (gauge) => pressureText(gauge.rangeHighBarGauge, pressureUnit, locale),
      ),
      column<Gauge>(
        'Calibration',
        (gauge) => gauge.calibrationDueOn ?? '',
        (gauge) =>
          gauge.retiredOn !== null ? (
            <StateMark tone="unknown">out of use since {dayText(gauge.retiredOn, locale)}</StateMark>
          ) : gauge.calibrationDueOn === null ? (
            <StateMark tone="unknown">no date on record</StateMark>
          ) : (
            <StateMark tone={gauge.calibrationOverdue ? 'bad' : 'good'}>
              {gauge.calibrationOverdue ? 'overdue since' : 'until'} {dayText(gauge.calibrationDueOn, locale)}
            </StateMark>
          ),
      ),
      actions<Gauge>((gauge) => (
        <Button kind="quiet" onClick={() => setEdited(gauge)} aria-label={`Change gauge ${gauge.code}`}>
          Change
        </Button>
      )),
    ],
    [locale, pressureUnit],
  );
  return (
    <Part title="Gauges" tools={<Button onClick={() => setEdited('new')}>Add a gauge</Button>}>
      <Listed what="the gauges" query={gauges}>
        {(rows) => (
          <DataTable
            caption="Gauges"
            columns={columns}
            rows={rows}
            rowId={({ id }) => id}
            empty="No gauge yet."
          />
        )}
      </Listed>
      {edited === null ? null : (
        <GaugeDialog gauge={edited === 'new' ? null : edited} onClose={() => setEdited(null)} />
      )}
    </Part>
  );
}

function GaugeDialog({ gauge, onClose }: { gauge: Gauge | null; onClose: () => void }) {
  const { locale, pressureUnit: unit } = useReader();
  const readAgain = useReadAgain();
  return (
    <Dialog title={gauge === null ? 'A new gauge' : `Gauge ${gauge.code}`} onClose={onClose}>
      <RecordForm
        record={gauge}
        valuesOf={(from: Gauge | null) => ({
          code: from?.code ?? '',
          name: from?.name ?? '',
          rangeHighBarGauge: shownPressure(from?.rangeHighBarGauge, unit),
          calibrationDueOn: from?.calibrationDueOn ?? '',
          retiredOn: from?.retiredOn ?? '',
        })}
        bodyOf={(values) => ({
          code: values.code,
          name: values.name,
          rangeHighBarGauge: typedPressure(
            values.rangeHighBarGauge,
            unit,
            locale,
            gauge?.rangeHighBarGauge,
          ) as number,
          calibrationDueOn: textOrNull(values.calibrationDueOn),
          retiredOn: textOrNull(values.retiredOn),
        })}
        create={(body) => answered(api.POST('/v1/gauges', { body }))}
        change={(body, base) =>
          answered(
            api.PATCH('/v1/gauges/{gaugeId}', {
              params: { path: { gaugeId: base.id }, header: ifMatch(base) },
              body,
            }),
          )
        }
        readAgain={({ id }) =>
          answered(api.GET('/v1/gauges/{gaugeId}', { params: { path: { gaugeId: id } } }))
        }
        onKept={() => {
          readAgain('gauges');
          onClose();
        }}
        onCancel={onClose}
      >
        {(fields) => (
          <>
            {fields.text('code', 'Code', { required: true, hint: 'What is written on it.' })}
            {fields.text('name', 'Name', { required: true })}
            {fields.number('rangeHighBarGauge', 'End of the scale', { unit, required: true })}
            {fields.date('calibrationDueOn', 'Calibration counts until', {
              hint: 'The last day. Empty: not on record.',
            })}
            {fields.date('retiredOn', 'Out of use from', { hint: 'Empty: in use.' })}
          </>
        )}
      </RecordForm>
    </Dialog>
  );
}
