import { useState } from 'react';
import { Link, useLocation } from 'wouter';
import { answered, api, ifMatch } from '../../../api/client';
import { Button } from '../../../design/button';
import { Notice } from '../../../design/notice';
import { ConfirmDialog } from '../parts/confirm-dialog';
import { Listed } from '../parts/listed';
import { useReadAgain } from '../parts/lists';
import { Part } from '../parts/part';
import { NewDraftDialog } from './new-draft-dialog';
import { OriginNotice } from './origin-notice';
import { PreviewPart } from './preview-part';
import { useProgramme, useVersion, type Programme, type Version } from './programme-reads';
import { PublishDialog } from './publish-dialog';
import { RulesPart } from './rules-part';
import { SeverityPart } from './severity-part';
import { VersionState } from './version-state';

interface VersionPartProps {
  programmeId: string;
  versionId: string;
}

/** One version: its rules, and for a draft what it would move, and its publication. */
export function VersionPart({ programmeId, versionId }: VersionPartProps) {
  const programme = useProgramme(programmeId);
  const version = useVersion(programmeId, versionId);
  return (
    <>
      <p>
        <Link href={`/administration/programmes/${programmeId}`}>All versions</Link>
      </p>
      <Listed what="the programme" query={programme}>
        {(ofProgramme) => (
          <Listed what="the version" query={version}>
            {(record) => <OneVersion programme={ofProgramme} version={record} />}
          </Listed>
        )}
      </Listed>
    </>
  );
}

type Shown = 'publish' | 'delete' | 'draft' | null;

function OneVersion({ programme, version }: { programme: Programme; version: Version }) {
  const [shown, setShown] = useState<Shown>(null);
  const [published, setPublished] = useState<string | null>(null);
  const readAgain = useReadAgain();
  const [, navigate] = useLocation();
  const isDraft = version.state === 'draft';
  const close = () => setShown(null);
  return (
    <>
      <Part title={`${programme.name}, version ${version.versionNumber}`}>
        <VersionState version={version} currentId={programme.currentVersion?.id ?? null} />
        {published === null ? null : <Notice tone="good" title={published} live />}
        <OriginNotice programme={programme} />
        {version.changeNote === '' ? null : <p>What is different: {version.changeNote}</p>}
        <div className="row">
          {isDraft ? (
            <>
              <Button kind="main" onClick={() => setShown('publish')}>
                Publish …
              </Button>
              <Button kind="danger" onClick={() => setShown('delete')}>
                Delete the draft
              </Button>
            </>
          ) : (
            <Button onClick={() => setShown('draft')}>New draft from it</Button>
          )}
        </div>
      </Part>
      {isDraft ? <PreviewPart version={version} /> : null}
      <RulesPart version={version} />
      <SeverityPart key={version.revision} version={version} />
      {shown === 'draft' ? (
        <NewDraftDialog programmeId={programme.id} basedOn={version} onClose={close} />
      ) : null}
      {shown === 'publish' ? (
        <PublishDialog
          version={version}
          onPublished={(text) => {
            setPublished(text);
            readAgain('programmes');
            close();
          }}
          onClose={close}
        />
      ) : null}
      {shown === 'delete' ? (
        <ConfirmDialog
          title={`Delete draft ${version.versionNumber}?`}
          action="Delete it"
          onConfirm={() =>
            answered(
              api.DELETE('/v1/service-programmes/{programmeId}/versions/{versionId}', {
                params: {
                  path: { programmeId: programme.id, versionId: version.id },
                  header: ifMatch(version),
                },
              }),
            )
          }
          onDone={() => {
            navigate(`/administration/programmes/${programme.id}`);
            readAgain('programmes');
          }}
          onClose={close}
        >
          <p>Its rules are gone. No due date moves, since a draft moves none.</p>
        </ConfirmDialog>
      ) : null}
    </>
  );
}
