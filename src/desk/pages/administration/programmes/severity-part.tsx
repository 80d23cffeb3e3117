import { useState } from 'react';
import { answered, api, ifMatch } from '../../../api/client';
import { TextField } from '../../../design/field';
import { Notice } from '../../../design/notice';
import { useReader } from '../../../session/session';
import { useReadAgain } from '../parts/lists';
import { Part } from '../parts/part';
import { RecordForm } from '../parts/record-form';
import { RowsFields } from '../parts/rows-fields';
import { requiredNumber } from '../parts/typed';
import { readVersion, type Version } from './programme-reads';

const valuesOf = (version: Version | null) => ({
  changeNote: version?.changeNote ?? '',
  severityByDutyClass: Object.entries(version?.severityByDutyClass ?? {}).map(([dutyClass, factor]) => ({
    dutyClass,
    factor: String(factor),
  })),
});

/** The factors by which duty classes shorten or lengthen intervals. */
export function SeverityPart({ version }: { version: Version }) {
  const { locale } = useReader();
  const readAgain = useReadAgain();
  const [kept, setKept] = useState(false);
  if (version.state === 'published')
    return (
      <Part title="Duty classes">
        <ul>
          {Object.entries(version.severityByDutyClass).map(([dutyClass, factor]) => (
            <li key={dutyClass}>
              {dutyClass}: intervals × {factor}
            </li>
          ))}
        </ul>
      </Part>
    );
  return (
    <Part title="Duty classes and note">
      <div className="sheet stack">
        {kept ? <Notice tone="good" title="Kept." live /> : null}
        <RecordForm
          record={version}
          valuesOf={valuesOf}
          bodyOf={({ changeNote, severityByDutyClass }) => ({
            changeNote,
            severityByDutyClass: Object.fromEntries(
              severityByDutyClass.map(({ dutyClass, factor }) => [dutyClass, requiredNumber(factor, locale)]),
            ),
          })}
          change={(patch, base) =>
            answered(
              api.PUT('/v1/service-programmes/{programmeId}/versions/{versionId}', {
                params: {
                  path: { programmeId: base.programmeId, versionId: base.id },
                  header: ifMatch(base),
                },
                body: { rules: base.rules, severityByDutyClass: base.severityByDutyClass, ...patch },
              }),
            )
          }
          readAgain={(base) => readVersion(base.programmeId, base.id)}
          onKept={() => {
            setKept(true);
            readAgain('programmes', version.programmeId);
          }}
        >
          {(fields) => (
            <>
              <RowsFields
                legend="Factors"
                hint="Intervals are multiplied by them: 0.7 for a severe duty makes 24 months into 16 months and 24 days. A class that is not named has 1."
                rows={fields.values.severityByDutyClass}
                blank={{ dutyClass: '', factor: '1' }}
                add="Add a duty class"
                onChange={(severityByDutyClass) => fields.set({ severityByDutyClass })}
                place="severityByDutyClass"
                faultAt={fields.faultAt}
              >
                {(row, set) => (
                  <>
                    <TextField
                      label="Duty class"
                      value={row.dutyClass}
                      onChange={({ target }) => set({ dutyClass: target.value })}
                    />
                    <TextField
                      label="Factor"
                      inputMode="decimal"
                      value={row.factor}
                      onChange={({ target }) => set({ factor: target.value })}
                    />
                  </>
                )}
              </RowsFields>
              {fields.area('changeNote', 'What is different, and why')}
            </>
          )}
        </RecordForm>
      </div>
    </Part>
  );
}
