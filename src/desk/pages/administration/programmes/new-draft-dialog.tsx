import { useLocation } from 'wouter';
import { answered, api } from '../../../api/client';
import { Dialog } from '../../../design/dialog';
import { useReadAgain } from '../parts/lists';
import { RecordForm } from '../parts/record-form';

interface NewDraftDialogProps {
  programmeId: string;
  basedOn: { id: string; versionNumber: number };
  onClose: () => void;
}

/** A draft with the rules of a version, to be changed. */
export function NewDraftDialog({ programmeId, basedOn, onClose }: NewDraftDialogProps) {
  const readAgain = useReadAgain();
  const [, navigate] = useLocation();
  return (
    <Dialog title={`A new draft from version ${basedOn.versionNumber}`} onClose={onClose}>
      <RecordForm
        record={null}
        valuesOf={() => ({ changeNote: '' })}
        bodyOf={(values) => values}
        create={({ changeNote }) =>
          answered(
            api.POST('/v1/service-programmes/{programmeId}/versions', {
              params: { path: { programmeId } },
              body: { changeNote, basedOn: basedOn.id },
            }),
          )
        }
        onKept={({ id }) => {
          readAgain('programmes');
          navigate(`/administration/programmes/${programmeId}/${id}`);
        }}
        onCancel={onClose}
        keep="Make the draft"
      >
        {(fields) =>
          fields.area('changeNote', 'What will be different, and why', {
            hint: 'Nothing moves until the draft is published.',
          })
        }
      </RecordForm>
    </Dialog>
  );
}
