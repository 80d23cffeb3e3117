import { answered, api, ifMatch, type Schemas } from '../../../api/client';
import { ConfirmDialog } from '../parts/confirm-dialog';
import { useReadAgain } from '../parts/lists';
import { ShownOnce } from '../parts/shown-once';
import { useMomentText } from '../parts/use-moment-text';
import type { Person } from './person';
import { PersonDialog } from './person-dialog';

type InvitedPerson = Schemas['PersonWithInvitationDto'];

export type PersonShown =
  | { act: 'edit'; person: Person | null }
  | { act: 'disable' | 'enable' | 'invite' | 'unlock'; person: Person }
  | { act: 'invitation'; person: InvitedPerson }
  | null;

interface PeopleDialogsProps {
  shown: PersonShown;
  show: (shown: PersonShown) => void;
}

/** What is asked, or shown, about one of the people. */
export function PeopleDialogs({ shown, show }: PeopleDialogsProps) {
  const readAgain = useReadAgain();
  if (shown === null) return null;
  const close = () => show(null);
  const done = () => {
    readAgain('people');
    close();
  };
  const invited = (person: InvitedPerson) => {
    readAgain('people');
    show({ act: 'invitation', person });
  };
  switch (shown.act) {
    case 'edit':
      return <PersonDialog person={shown.person} onInvited={invited} onKept={done} onClose={close} />;
    case 'invitation':
      return <InvitationShown person={shown.person} onClose={close} />;
    case 'disable':
      return (
        <ConfirmDialog
          title={`Disable ${shown.person.name}?`}
          action="Disable"
          onConfirm={() => changeState(shown.person, 'disabled')}
          onDone={done}
          onClose={close}
        >
          <p>
            {shown.person.name} is signed out everywhere at once and cannot sign in again. An open invitation
            ends. What they recorded stays. Enabling them later gives their password back.
          </p>
        </ConfirmDialog>
      );
    case 'enable':
      return (
        <ConfirmDialog
          title={`Enable ${shown.person.name}?`}
          action="Enable"
          kind="main"
          onConfirm={() => changeState(shown.person, 'active')}
          onDone={done}
          onClose={close}
        >
          <p>
            They can sign in again with the password that they had. Who never had one needs a new invitation.
          </p>
        </ConfirmDialog>
      );
    case 'invite':
      return (
        <ConfirmDialog
          title={`A new invitation for ${shown.person.name}?`}
          action="Make a new invitation"
          onConfirm={() => answered(api.POST('/v1/people/{personId}/invitation', at(shown.person)))}
          onDone={invited}
          onClose={close}
        >
          <p>
            Their password and any earlier invitation end, and they are signed out everywhere at once. With
            the new link they choose another password.
          </p>
        </ConfirmDialog>
      );
    case 'unlock':
      return (
        <ConfirmDialog
          title={`Unlock ${shown.person.name}?`}
          action="Unlock"
          kind="main"
          onConfirm={() => answered(api.POST('/v1/people/{personId}/unlock', at(shown.person)))}
          onDone={done}
          onClose={close}
        >
          <p>
            After several wrong passwords a sign-in has to wait. For the next 15 minutes theirs does not, from
            anywhere. Make sure that it is really them who asks.
          </p>
        </ConfirmDialog>
      );
  }
}

function InvitationShown({ person, onClose }: { person: InvitedPerson; onClose: () => void }) {
  const momentText = useMomentText();
  const { invitation, invitationExpiresAt, name } = person;
  return (
    <ShownOnce
      title={`The invitation of ${name}`}
      label="Link to hand over"
      secret={invitation === null ? null : linkOf(invitation)}
      onClose={onClose}
    >
      <p>
        Nothing is sent by mail: hand the link over yourself. It opens once, until{' '}
        {momentText(invitationExpiresAt)}, for whoever has it.
      </p>
    </ShownOnce>
  );
}

// what stands behind # is sent to no server
const linkOf = (invitation: string) =>
  `${location.origin}${import.meta.env.BASE_URL}invitation#${invitation}`;

const at = ({ id }: Person) => ({ params: { path: { personId: id } } });

const changeState = (person: Person, state: 'active' | 'disabled') =>
  answered(
    api.PATCH('/v1/people/{personId}', {
      params: { path: { personId: person.id }, header: ifMatch(person) },
      body: { state },
    }),
  );
