import { Dialog } from '../../../design/dialog';
import { useReader } from '../../../session/session';
import { RecordForm } from '../parts/record-form';
import { requiredNumber } from '../parts/typed';

interface RotateDialogProps<Answer> {
  title: string;
  /** what is replaced, such as `key` */
  what: string;
  rotate: (body: { overlapHours: number }) => Promise<Answer>;
  onRotated: (answer: Answer) => void;
  onClose: () => void;
}

/** Replaces a secret by another one, both of which count for a while. */
export function RotateDialog<Answer>({ title, what, rotate, onRotated, onClose }: RotateDialogProps<Answer>) {
  const { locale } = useReader();
  return (
    <Dialog title={title} onClose={onClose}>
      <p>
        A new {what} is made and shown once. The old one counts beside it for the hours below, so that whoever
        uses it can be changed over without a gap; then it ends.
      </p>
      <RecordForm
        record={null}
        valuesOf={() => ({ overlapHours: '24' })}
        bodyOf={({ overlapHours }) => ({ overlapHours: requiredNumber(overlapHours, locale) })}
        create={rotate}
        onKept={onRotated}
        onCancel={onClose}
        keep={`Make a new ${what}`}
      >
        {(fields) =>
          fields.number('overlapHours', 'Both count for', {
            unit: 'hours',
            hint: 'With 0 the old one ends at once: do that when somebody else may know it.',
          })
        }
      </RecordForm>
    </Dialog>
  );
}
