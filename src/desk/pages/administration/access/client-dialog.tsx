import { answered, api, type Schemas } from '../../../api/client';
import { Dialog } from '../../../design/dialog';
import type { Role } from '../../../session/session';
import { LimitFields, limitsOf, limitValuesOf, type LimitValues } from '../parts/limits';
import { RecordForm } from '../parts/record-form';
import { roleChoices, roleMeanings } from '../parts/roles';

type Scope = Schemas['OAuthClientDto']['scopes'][number];

const SCOPES = [
  { value: 'read', name: 'Read' },
  { value: 'write', name: 'Record' },
  { value: 'manage-access', name: 'Give access' },
];

interface ClientValues extends LimitValues {
  name: string;
  role: Role;
  scopes: string[];
}

const newClient = (): ClientValues => ({
  name: '',
  role: 'dealer-system',
  scopes: [],
  ...limitValuesOf(null),
});

interface ClientDialogProps {
  onMade: (client: Schemas['OAuthClientWithSecretDto']) => void;
  onClose: () => void;
}

export function ClientDialog({ onMade, onClose }: ClientDialogProps) {
  return (
    <Dialog title="A new client" onClose={onClose}>
      <RecordForm
        record={null}
        valuesOf={newClient}
        bodyOf={({ name, role, scopes, ...limits }) => ({
          name,
          role,
          ...(scopes.length === 0 ? {} : { scopes: scopes as Scope[] }),
          ...limitsOf(limits),
        })}
        create={(body) => answered(api.POST('/v1/oauth-clients', { body }))}
        onKept={onMade}
        onCancel={onClose}
        keep="Make the client"
      >
        {(fields) => (
          <>
            {fields.text('name', 'Name', {
              required: true,
              hint: 'What uses it, as the audit trail names it.',
            })}
            {fields.select('role', 'Role', roleChoices, { hint: roleMeanings[fields.values.role] })}
            {fields.several('scopes', 'Scopes', SCOPES, 'None ticked: all that the role has.')}
            <LimitFields fields={fields} />
          </>
        )}
      </RecordForm>
    </Dialog>
  );
}
