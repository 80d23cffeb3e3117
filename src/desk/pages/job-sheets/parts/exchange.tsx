import { useQuery } from '@tanstack/react-query';
import { useDeferredValue, useState } from 'react';
import { answered, api } from '../../../api/client';
import { Button } from '../../../design/button';
import { SelectField, TextField } from '../../../design/field';
import { Notice, ProblemNotice } from '../../../design/notice';
import { dayText } from '../../../format/days';
import { useReader } from '../../../session/session';
import { faultText } from '../job/field-fault';
import type { Entry, Step } from '../job/kept-job';
import { wordsOf } from '../job/step-fields';
import type { JobPartProps } from './shared-props';

interface ExchangeProps extends JobPartProps {
  step: Step;
  entry: Entry;
}

type TakenOutTo = NonNullable<Entry['exchange']>['takenOutTo'];

/** Another unit in the place of this one, by its serial number: what is on the shelf, and what it would owe here. */
export function Exchange({ store, state, isOpen, step, entry }: ExchangeProps) {
  const { locale } = useReader();
  const exchange = entry.exchange ?? null;
  const [isOpened, setOpened] = useState(false);
  const serialNumber = exchange?.serialNumber ?? '';
  const takenOutTo = exchange?.takenOutTo ?? 'on-the-shelf';
  const wanted = useDeferredValue(serialNumber.trim());
  const { vehicleId } = state.job.sheet;
  const { data: found } = useQuery({
    queryKey: ['spare-units', wanted],
    queryFn: () =>
      answered(api.GET('/v1/gas-units', { params: { query: { serialNumber: wanted, limit: 20 } } })),
    enabled: wanted !== '',
  });
  const spare = (found?.items ?? []).filter(
    ({ place }) => place?.state !== 'fitted' && place?.state !== 'scrapped',
  );
  const exact = spare.find((unit) => unit.serialNumber === wanted.toUpperCase());
  const { data: preview, error } = useQuery({
    queryKey: ['fitting-preview', exact?.id, vehicleId, step.position, takenOutTo],
    queryFn: () =>
      answered(
        api.GET('/v1/gas-units/{gasUnitId}/fitting-preview', {
          params: {
            path: { gasUnitId: exact?.id ?? '' },
            query: { vehicleId, position: step.position ?? '', displaced: takenOutTo },
          },
        }),
      ),
    enabled: exact !== undefined && step.position !== null,
  });
  if (exchange === null && !isOpened)
    return isOpen ? (
      <div>
        <Button onClick={() => setOpened(true)}>Exchange the unit</Button>
      </div>
    ) : null;

  const change = (serial: string, to: TakenOutTo): void =>
    store.edit(step.key, { exchange: serial === '' ? null : { serialNumber: serial, takenOutTo: to } });
  const fault = state.faults.find((each) => each.stepKey === step.key && each.field === 'exchange');
  return (
    <fieldset className="stack">
      <legend>Exchange of the unit</legend>
      <div className="columns">
        <TextField
          label="Serial number of the unit that is fitted now"
          hint="Begin to type: what is on the shelf is shown below."
          value={serialNumber}
          maxLength={100}
          autoComplete="off"
          disabled={!isOpen}
          fault={fault === undefined ? undefined : faultText(fault)}
          onChange={({ target }) => change(target.value, takenOutTo)}
        />
        <SelectField
          label="The unit taken out goes"
          value={takenOutTo}
          disabled={!isOpen || exchange === null}
          onChange={({ target }) => change(serialNumber, target.value as TakenOutTo)}
        >
          <option value="on-the-shelf">on the shelf</option>
          <option value="away-for-recharge">away for recharge</option>
        </SelectField>
      </div>
      {isOpen && exact === undefined && wanted !== '' && found !== undefined ? (
        spare.length === 0 ? (
          <p>No unit on a shelf or away has a serial number that begins like this.</p>
        ) : (
          <div className="row" role="group" aria-label="Units on the shelf or away">
            {spare.map((unit) => (
              <Button key={unit.id} onClick={() => change(unit.serialNumber, takenOutTo)}>
                {unit.serialNumber} · {unit.unitTypeCode}
                {unit.place === null ? '' : ` · ${wordsOf(unit.place.state)}`}
              </Button>
            ))}
          </div>
        )
      ) : null}
      <ProblemNotice error={error} />
      {preview === undefined ? null : (
        <Notice tone={preview.warnings.length > 0 ? 'warn' : 'info'} title="What this unit would owe here">
          <ul>
            {preview.warnings.map((warning) => (
              <li key={warning}>{warning}</li>
            ))}
            {preview.owed.map(({ key, title, dueOn }) => (
              <li key={key}>
                {title}: {dueOn === null ? 'not told' : `due on ${dayText(dueOn, locale)}`}
              </li>
            ))}
          </ul>
        </Notice>
      )}
      {isOpen ? (
        <div>
          <Button
            onClick={() => {
              setOpened(false);
              change('', takenOutTo);
            }}
          >
            No exchange
          </Button>
        </div>
      ) : null}
    </fieldset>
  );
}
