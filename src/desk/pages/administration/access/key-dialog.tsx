import { answered, api, type Schemas } from '../../../api/client';
import { Dialog } from '../../../design/dialog';
import type { Role } from '../../../session/session';
import { LimitFields, limitsOf, limitValuesOf, type LimitValues } from '../parts/limits';
import { RecordForm } from '../parts/record-form';
import { roleChoices, roleMeanings } from '../parts/roles';
import { instantOf } from '../../../format/days';
import { readersZone } from '../parts/use-moment-text';

interface KeyValues extends LimitValues {
  name: string;
  role: Role;
  expiresAt: string;
}

const newKey = (): KeyValues => ({ name: '', role: 'dealer-system', expiresAt: '', ...limitValuesOf(null) });

interface KeyDialogProps {
  onMade: (key: Schemas['NewApiKeyDto']) => void;
  onClose: () => void;
}

export function KeyDialog({ onMade, onClose }: KeyDialogProps) {
  return (
    <Dialog title="A new key" onClose={onClose}>
      <RecordForm
        record={null}
        valuesOf={newKey}
        bodyOf={({ name, role, expiresAt, ...limits }) => ({
          name,
          role,
          expiresAt: expiresAt === '' ? null : instantOf(expiresAt, readersZone()),
          ...limitsOf(limits),
        })}
        create={(body) => answered(api.POST('/v1/api-keys', { body }))}
        onKept={onMade}
        onCancel={onClose}
        keep="Make the key"
      >
        {(fields) => (
          <>
            {fields.text('name', 'Name', {
              required: true,
              hint: 'Who or what uses it, as the audit trail names it.',
            })}
            {fields.select('role', 'Role', roleChoices, { hint: roleMeanings[fields.values.role] })}
            {fields.moment('expiresAt', 'Ends', { hint: 'Empty: it does not end by itself.' })}
            <LimitFields fields={fields} />
          </>
        )}
      </RecordForm>
    </Dialog>
  );
}
