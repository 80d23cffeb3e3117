import { answered, api, ifMatch } from '../../../api/client';
import { Dialog } from '../../../design/dialog';
import { todayOn } from '../../../format/days';
import { RecordForm } from '../parts/record-form';
import { readersZone } from '../parts/use-moment-text';
import type { Version } from './programme-reads';

interface PublishDialogProps {
  version: Version;
  /** @param text what happens now */
  onPublished: (text: string) => void;
  onClose: () => void;
}

const ACTIVATIONS = {
  'in-force': 'Published and in force: the due items have moved.',
  'being-computed': 'Published. The due items of many vehicles are being computed and follow shortly.',
  waiting: 'Published. The due items move when the day begins.',
} as const;

export function PublishDialog({ version, onPublished, onClose }: PublishDialogProps) {
  return (
    <Dialog title={`Publish version ${version.versionNumber}`} onClose={onClose}>
      <p>
        From the day below on, the due dates of every vehicle that follows the programme are computed by these{' '}
        {version.ruleCount} rules. A published version is never changed: another one takes its place.
      </p>
      <RecordForm
        record={null}
        valuesOf={() => ({ effectiveOn: todayOn(readersZone()) })}
        bodyOf={(values) => values}
        create={(body) =>
          answered(
            api.POST('/v1/service-programmes/{programmeId}/versions/{versionId}/publish', {
              params: {
                path: { programmeId: version.programmeId, versionId: version.id },
                header: ifMatch(version),
              },
              body,
            }),
          )
        }
        onKept={({ activation }) => onPublished(ACTIVATIONS[activation])}
        onCancel={onClose}
        keep="Publish"
      >
        {(fields) => fields.date('effectiveOn', 'In force from', { required: true, hint: 'Today or later.' })}
      </RecordForm>
    </Dialog>
  );
}
