import { useQuery } from '@tanstack/react-query';
import { useMemo, useState } from 'react';
import { Link, useLocation } from 'wouter';
import { answered, api, ifMatch, type Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { DataTable } from '../../../design/data-table';
import { Dialog } from '../../../design/dialog';
import { Notice } from '../../../design/notice';
import { column } from '../parts/columns';
import { choicesOf, useProgrammes, useReadAgain } from '../parts/lists';
import { Listed } from '../parts/listed';
import { Part } from '../parts/part';
import { RecordForm } from '../parts/record-form';
import { textOrNull } from '../parts/typed';
import { readVersion, type Programme } from './programme-reads';
import { VersionState } from './version-state';

const STARTER = 'starter';

export function ProgrammesPart() {
  const programmes = useProgrammes();
  const [adding, setAdding] = useState(false);
  const columns = useMemo(
    () => [
      column<Programme>(
        'Programme',
        ({ name }) => name,
        ({ id, name }) => <Link href={`/administration/programmes/${id}`}>{name}</Link>,
      ),
      column<Programme>('Figures', ({ originNote }) => originNote),
      column<Programme>('Latest version', ({ latestVersion }) => latestVersion?.versionNumber ?? '–'),
      column<Programme>(
        'In force',
        ({ currentVersion }) => currentVersion?.versionNumber ?? '',
        ({ currentVersion }) =>
          currentVersion === null ? (
            'none yet'
          ) : (
            <>
              Version {currentVersion.versionNumber},{' '}
              <VersionState version={currentVersion} currentId={currentVersion.id} />
            </>
          ),
      ),
    ],
    [],
  );
  return (
    <>
      <Part title="All programmes" tools={<Button onClick={() => setAdding(true)}>Add a programme</Button>}>
        <Listed what="the programmes" query={programmes}>
          {(rows) => (
            <DataTable
              caption="Service programmes"
              columns={columns}
              rows={rows}
              rowId={({ id }) => id}
              empty="No programme yet. Without one nothing falls due. The starter rules are a beginning."
            />
          )}
        </Listed>
        {adding ? <NewProgrammeDialog onClose={() => setAdding(false)} /> : null}
      </Part>
      <DefaultPart />
    </>
  );
}

function NewProgrammeDialog({ onClose }: { onClose: () => void }) {
  const programmes = useProgrammes();
  const readAgain = useReadAgain();
  const [, navigate] = useLocation();
  const withVersion = (programmes.data ?? []).filter(({ latestVersion }) => latestVersion !== null);
  return (
    <Dialog title="A new programme" onClose={onClose}>
      <RecordForm
        record={null}
        valuesOf={() => ({ name: '', originNote: '', begin: STARTER })}
        bodyOf={({ name, originNote, begin }) => ({
          name,
          begin,
          ...(textOrNull(originNote) === null ? {} : { originNote }),
        })}
        create={async ({ begin, ...body }) => {
          const copied = withVersion.find(({ id }) => id === begin);
          const from = copied?.latestVersion ? await readVersion(copied.id, copied.latestVersion.id) : null;
          return answered(
            api.POST('/v1/service-programmes', {
              body: {
                ...body,
                ...(from === null
                  ? { fromStarter: true }
                  : { rules: from.rules, severityByDutyClass: from.severityByDutyClass }),
              },
            }),
          );
        }}
        onKept={({ id }) => {
          readAgain('programmes');
          navigate(`/administration/programmes/${id}`);
        }}
        onCancel={onClose}
        keep="Add it"
      >
        {(fields) => (
          <>
            {fields.text('name', 'Name', { required: true })}
            {fields.select('begin', 'Begins with', [
              { value: STARTER, name: 'The starter rules' },
              ...withVersion.map(({ id, name }) => ({ value: id, name: `A copy of ${name}` })),
            ])}
            {fields.values.begin === STARTER ? (
              <Notice
                tone="warn"
                title="Their figures are from memory: confirm against the maker’s schedule."
              />
            ) : null}
            {fields.text('originNote', 'Where the figures come from')}
          </>
        )}
      </RecordForm>
    </Dialog>
  );
}

type Default = Schemas['DefaultServiceProgrammeDto'];

const readDefault = () => answered(api.GET('/v1/service-programmes/default'));

/** The programme of whoever has none of their own. */
function DefaultPart() {
  const programmes = useProgrammes();
  const readAgain = useReadAgain();
  const [kept, setKept] = useState(false);
  const current = useQuery({ queryKey: ['administration', 'programmes', 'default'], queryFn: readDefault });
  return (
    <Part title="Default programme">
      <Listed what="the default programme" query={current}>
        {(record) => (
          <div className="sheet stack">
            {kept ? <Notice tone="good" title="Kept. Due dates follow shortly." live /> : null}
            <RecordForm
              key={record.revision}
              record={record}
              valuesOf={(from: Default | null) => ({ serviceProgrammeId: from?.serviceProgrammeId ?? '' })}
              bodyOf={({ serviceProgrammeId }) => ({ serviceProgrammeId: textOrNull(serviceProgrammeId) })}
              change={({ serviceProgrammeId = record.serviceProgrammeId }, base) =>
                answered(
                  api.PUT('/v1/service-programmes/default', {
                    params: { header: ifMatch(base) },
                    body: { serviceProgrammeId },
                  }),
                )
              }
              readAgain={readDefault}
              onKept={() => {
                setKept(true);
                readAgain('programmes', 'default');
              }}
              keep="Keep"
            >
              {(fields) =>
                fields.select(
                  'serviceProgrammeId',
                  'For vehicles and fleets without one of their own',
                  choicesOf(programmes.data),
                  {
                    none: 'None: they owe nothing',
                    hint: 'Another one moves all their due dates.',
                  },
                )
              }
            </RecordForm>
          </div>
        )}
      </Listed>
    </Part>
  );
}
