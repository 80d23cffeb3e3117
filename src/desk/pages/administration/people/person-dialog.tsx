import { answered, api, ifMatch, type Schemas } from '../../../api/client';
import { Dialog } from '../../../design/dialog';
import { useReader } from '../../../session/session';
import type { FormFields } from '../parts/form-fields';
import { LimitFields, limitsOf, limitValuesOf } from '../parts/limits';
import { choicesOf, useTechnicians, useWorkshops } from '../parts/lists';
import { RecordForm } from '../parts/record-form';
import { roleChoices, roleMeanings } from '../parts/roles';
import { without } from '../parts/three-way';
import { textOrNull } from '../parts/typed';
import type { Person } from './person';

interface PersonDialogProps {
  person: Person | null;
  onInvited: (person: Schemas['PersonWithInvitationDto']) => void;
  onKept: () => void;
  onClose: () => void;
}

const valuesOf = (person: Person | null) => ({
  name: person?.name ?? '',
  email: person?.email ?? '',
  role: person?.role ?? 'front-desk',
  technicianWorkshopId: '',
  technicianId: person?.technicianId ?? '',
  ...limitValuesOf(person),
});
type PersonValues = ReturnType<typeof valuesOf>;

const bodyOf = ({ name, email, role, technicianId, ...limits }: PersonValues) => ({
  name,
  email,
  role,
  technicianId: role === 'technician' ? textOrNull(technicianId) : null,
  ...limitsOf(limits),
});

export function PersonDialog({ person, onInvited, onKept, onClose }: PersonDialogProps) {
  const isMe = useReader().session.person.id === person?.id;
  return (
    <Dialog title={person === null ? 'Invite somebody' : person.name} onClose={onClose}>
      <RecordForm
        record={person}
        valuesOf={valuesOf}
        bodyOf={bodyOf}
        keep={person === null ? 'Invite' : 'Keep'}
        create={async (body) => onInvited(await answered(api.POST('/v1/people', { body })))}
        change={async (body, base) => {
          await answered(
            api.PATCH('/v1/people/{personId}', {
              params: { path: { personId: base.id }, header: ifMatch(base) },
              body: without(body, 'email'),
            }),
          );
          onKept();
        }}
        readAgain={({ id }) =>
          answered(api.GET('/v1/people/{personId}', { params: { path: { personId: id } } }))
        }
        onKept={() => undefined}
        onCancel={onClose}
      >
        {(fields) => (
          <>
            {fields.text('name', 'Name', { required: true, hint: 'As the audit trail names them.' })}
            {person === null
              ? fields.email('email', 'Email address', {
                  required: true,
                  hint: 'What they sign in with. Nothing is sent there.',
                })
              : null}
            {isMe ? (
              <p className="soft">Nobody changes their own role or limits: ask another administrator.</p>
            ) : (
              <>
                {fields.select('role', 'Role', roleChoices, { hint: roleMeanings[fields.values.role] })}
                {fields.values.role === 'technician' ? <TechnicianFields fields={fields} /> : null}
                <LimitFields fields={fields} />
              </>
            )}
          </>
        )}
      </RecordForm>
    </Dialog>
  );
}

/** Which of the technicians in the diary this person is. */
function TechnicianFields({ fields }: { fields: FormFields<PersonValues> }) {
  const workshops = useWorkshops();
  const { technicianWorkshopId } = fields.values;
  const workshopId = technicianWorkshopId === '' ? (workshops.data?.[0]?.id ?? '') : technicianWorkshopId;
  const technicians = useTechnicians(workshopId);
  const known = technicians.data ?? [];
  const chosenElsewhere =
    fields.values.technicianId !== '' && !known.some(({ id }) => id === fields.values.technicianId);
  return (
    <>
      {fields.select('technicianWorkshopId', 'Workshop', choicesOf(workshops.data))}
      {fields.select(
        'technicianId',
        'In the diary as',
        [
          ...choicesOf(known),
          ...(chosenElsewhere
            ? [{ value: fields.values.technicianId, name: 'As now: a technician elsewhere' }]
            : []),
        ],
        { none: 'Nobody', hint: 'Job sheets of this technician open first for them.' },
      )}
    </>
  );
}
