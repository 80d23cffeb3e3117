import { useMemo, useState } from 'react';
import { Link } from 'wouter';
import { answered, api, ifMatch } from '../../../api/client';
import { Button } from '../../../design/button';
import { DataTable } from '../../../design/data-table';
import { Dialog } from '../../../design/dialog';
import { actorWords } from '../../../format/words';
import { actions, column } from '../parts/columns';
import { Listed } from '../parts/listed';
import { useReadAgain } from '../parts/lists';
import { Part } from '../parts/part';
import { RecordForm } from '../parts/record-form';
import { useMomentText } from '../parts/use-moment-text';
import { NewDraftDialog } from './new-draft-dialog';
import { OriginNotice } from './origin-notice';
import {
  readProgramme,
  useProgramme,
  useVersions,
  type Programme,
  type VersionHead,
} from './programme-reads';
import { VersionState } from './version-state';

/** One programme with its versions. */
export function ProgrammePart({ programmeId }: { programmeId: string }) {
  const programme = useProgramme(programmeId);
  return (
    <>
      <p>
        <Link href="/administration/programmes">All programmes</Link>
      </p>
      <Listed what="the programme" query={programme}>
        {(record) => <OneProgramme programme={record} />}
      </Listed>
    </>
  );
}

function OneProgramme({ programme }: { programme: Programme }) {
  const versions = useVersions(programme.id);
  const momentText = useMomentText();
  const [renaming, setRenaming] = useState(false);
  const [basedOn, setBasedOn] = useState<VersionHead | null>(null);
  const currentId = programme.currentVersion?.id ?? null;
  const columns = useMemo(
    () => [
      column<VersionHead>(
        'Version',
        ({ versionNumber }) => versionNumber,
        ({ id, versionNumber }) => (
          <Link href={`/administration/programmes/${programme.id}/${id}`}>Version {versionNumber}</Link>
        ),
      ),
      column<VersionHead>(
        'State',
        ({ state }) => state,
        (version) => <VersionState version={version} currentId={currentId} />,
      ),
      column<VersionHead>('What is different', ({ changeNote }) => changeNote),
      column<VersionHead>('Rules', ({ ruleCount }) => ruleCount),
      column<VersionHead>(
        'Published',
        ({ publishedAt }) => publishedAt ?? '',
        ({ publishedAt, publishedBy }) =>
          publishedAt === null ? '–' : `${momentText(publishedAt)}, ${actorWords(publishedBy ?? '')}`,
      ),
      actions<VersionHead>((version) => (
        <Button
          kind="quiet"
          aria-label={`New draft from version ${version.versionNumber}`}
          onClick={() => setBasedOn(version)}
        >
          New draft
        </Button>
      )),
    ],
    [programme.id, currentId, momentText],
  );
  return (
    <Part
      title={programme.name}
      tools={<Button onClick={() => setRenaming(true)}>Change name and note</Button>}
    >
      <OriginNotice programme={programme} />
      <Listed what="the versions" query={versions}>
        {(rows) => (
          <DataTable
            caption={`Versions of ${programme.name}`}
            columns={columns}
            rows={rows}
            rowId={({ id }) => id}
            empty="No version: the only draft was deleted."
          />
        )}
      </Listed>
      {renaming ? <RenameDialog programme={programme} onClose={() => setRenaming(false)} /> : null}
      {basedOn === null ? null : (
        <NewDraftDialog programmeId={programme.id} basedOn={basedOn} onClose={() => setBasedOn(null)} />
      )}
    </Part>
  );
}

function RenameDialog({ programme, onClose }: { programme: Programme; onClose: () => void }) {
  const readAgain = useReadAgain();
  return (
    <Dialog title={programme.name} onClose={onClose}>
      <RecordForm
        record={programme}
        valuesOf={(from: Programme | null) => ({
          name: from?.name ?? '',
          originNote: from?.originNote ?? '',
        })}
        bodyOf={(values) => values}
        change={(body, base) =>
          answered(
            api.PATCH('/v1/service-programmes/{programmeId}', {
              params: { path: { programmeId: base.id }, header: ifMatch(base) },
              body,
            }),
          )
        }
        readAgain={({ id }) => readProgramme(id)}
        onKept={() => {
          readAgain('programmes');
          onClose();
        }}
        onCancel={onClose}
      >
        {(fields) => (
          <>
            {fields.text('name', 'Name', { required: true })}
            {fields.text('originNote', 'Where the figures come from', {
              hint: 'Once they are confirmed, say against which schedule, and by whom.',
            })}
          </>
        )}
      </RecordForm>
    </Dialog>
  );
}
