import { useMemo, useState } from 'react';
import { answered, api, ifMatch, type Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { DataTable } from '../../../design/data-table';
import { Dialog } from '../../../design/dialog';
import { numberText, pressureText } from '../../../format/units';
import { useReader } from '../../../session/session';
import { actions, column } from '../parts/columns';
import { useReadAgain, useUnitTypes } from '../parts/lists';
import { Listed } from '../parts/listed';
import { Part } from '../parts/part';
import { RecordForm } from '../parts/record-form';
import { without } from '../parts/three-way';
import { requiredNumber, shownNumber, textOrNull } from '../parts/typed';
import { shownPressure, typedPressure } from './pressures';
import { unitRoleChoices, unitRoleNames } from './unit-roles';

type UnitType = Schemas['GasUnitTypeDto'];

export function UnitTypesPart() {
  const types = useUnitTypes();
  const { locale, pressureUnit } = useReader();
  const [edited, setEdited] = useState<UnitType | 'new' | null>(null);
  const columns = useMemo(
    () => [
      column<UnitType>('Type', ({ name }) => name),
      column<UnitType>(
        'Code',
        ({ code }) => code,
        ({ code }) => <span className="digits">{code}</span>,
      ),
      column<UnitType>(
        'Nominal precharge at 20 °C',
        (type) => type.nominalPrecharge20BarGauge,
        (type) => pressureText(type.nominalPrecharge20BarGauge, pressureUnit, locale),
      ),
      column<UnitType>(
        'Gas volume',
        (type) => type.gasVolumeCm3,
        (type) => `${numberText(type.gasVolumeCm3, locale, 0)} cm³`,
      ),
      column<UnitType>('Fitted as', ({ roles }) => roles.map((role) => unitRoleNames[role]).join(', ')),
      actions<UnitType>((type) => (
        <Button kind="quiet" onClick={() => setEdited(type)} aria-label={`Change type ${type.name}`}>
          Change
        </Button>
      )),
    ],
    [locale, pressureUnit],
  );
  return (
    <Part title="Types of gas units" tools={<Button onClick={() => setEdited('new')}>Add a type</Button>}>
      <Listed what="the types" query={types}>
        {(rows) => (
          <DataTable
            caption="Types of gas units"
            columns={columns}
            rows={rows}
            rowId={({ id }) => id}
            empty="No type yet. Every gas unit on record is of a type."
          />
        )}
      </Listed>
      {edited === null ? null : (
        <UnitTypeDialog type={edited === 'new' ? null : edited} onClose={() => setEdited(null)} />
      )}
    </Part>
  );
}

function UnitTypeDialog({ type, onClose }: { type: UnitType | null; onClose: () => void }) {
  const { locale, pressureUnit: unit } = useReader();
  const readAgain = useReadAgain();
  return (
    <Dialog title={type === null ? 'A new type of gas unit' : type.name} onClose={onClose}>
      <RecordForm
        record={type}
        valuesOf={(from: UnitType | null) => ({
          code: from?.code ?? '',
          name: from?.name ?? '',
          roles: from?.roles ?? [],
          nominalPrecharge20BarGauge: shownPressure(from?.nominalPrecharge20BarGauge, unit),
          gasVolumeCm3: shownNumber(from?.gasVolumeCm3),
          workingPressureLowBarGauge: shownPressure(from?.workingPressureLowBarGauge, unit),
          workingPressureHighBarGauge: shownPressure(from?.workingPressureHighBarGauge, unit),
          damperIntegral: from?.damperIntegral ?? false,
          externalKey: from?.externalKey ?? '',
          note: from?.note ?? '',
        })}
        bodyOf={(values) => ({
          code: values.code,
          name: values.name,
          roles: values.roles,
          nominalPrecharge20BarGauge: typedPressure(
            values.nominalPrecharge20BarGauge,
            unit,
            locale,
            type?.nominalPrecharge20BarGauge,
          ) as number,
          gasVolumeCm3: requiredNumber(values.gasVolumeCm3, locale),
          workingPressureLowBarGauge: typedPressure(
            values.workingPressureLowBarGauge,
            unit,
            locale,
            type?.workingPressureLowBarGauge,
          ),
          workingPressureHighBarGauge: typedPressure(
            values.workingPressureHighBarGauge,
            unit,
            locale,
            type?.workingPressureHighBarGauge,
          ),
          damperIntegral: values.damperIntegral,
          externalKey: textOrNull(values.externalKey),
          note: textOrNull(values.note),
        })}
        create={(body) => answered(api.POST('/v1/gas-unit-types', { body }))}
        change={(body, base) =>
          answered(
            api.PATCH('/v1/gas-unit-types/{gasUnitTypeId}', {
              params: { path: { gasUnitTypeId: base.id }, header: ifMatch(base) },
              body: without(body, 'code'),
            }),
          )
        }
        readAgain={({ id }) =>
          answered(api.GET('/v1/gas-unit-types/{gasUnitTypeId}', { params: { path: { gasUnitTypeId: id } } }))
        }
        onKept={() => {
          readAgain('unit-types');
          onClose();
        }}
        onCancel={onClose}
      >
        {(fields) => (
          <>
            {type === null
              ? fields.text('code', 'Code', {
                  required: true,
                  hint: 'Small letters, digits and hyphens. Rules and files name the type by it, so it stays.',
                })
              : null}
            {fields.text('name', 'Name', { required: true })}
            {fields.several('roles', 'Fitted as', unitRoleChoices)}
            {fields.number('nominalPrecharge20BarGauge', 'Nominal precharge at 20 °C', {
              unit,
              hint: 'Above the atmosphere, as the maker’s manual states it.',
            })}
            {fields.number('gasVolumeCm3', 'Gas volume', {
              unit: 'cm³',
              hint: 'Of the gas side without fluid.',
            })}
            {fields.number('workingPressureLowBarGauge', 'Lowest working pressure', { unit })}
            {fields.number('workingPressureHighBarGauge', 'Highest working pressure', { unit })}
            {fields.check('damperIntegral', 'The damper is part of the unit')}
            {fields.text('externalKey', 'Own key')}
            {fields.area('note', 'Note')}
          </>
        )}
      </RecordForm>
    </Dialog>
  );
}
