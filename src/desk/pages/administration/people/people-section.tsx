import { useMemo, useState } from 'react';
import { answered, api } from '../../../api/client';
import { Button } from '../../../design/button';
import { DataTable } from '../../../design/data-table';
import { useReader } from '../../../session/session';
import { actions, column } from '../parts/columns';
import { useLimitText } from '../parts/limits';
import { useWholeList } from '../parts/lists';
import { Listed } from '../parts/listed';
import { Part } from '../parts/part';
import { roleNames } from '../parts/roles';
import { useMomentText } from '../parts/use-moment-text';
import { PeopleDialogs, type PersonShown } from './people-dialogs';
import { PersonState } from './person-state';
import type { Person } from './person';

type Act = 'edit' | 'disable' | 'enable' | 'invite' | 'unlock';

const ACT_NAMES: Record<Act, string> = {
  edit: 'Change',
  invite: 'New invitation',
  unlock: 'Unlock',
  enable: 'Enable',
  disable: 'Disable',
};

/** What can be done about somebody; nobody disables themselves. */
function actsOf({ id, state }: Person, me: string): Act[] {
  if (state === 'disabled') return ['edit', 'enable'];
  return id === me ? ['edit', 'invite', 'unlock'] : ['edit', 'invite', 'unlock', 'disable'];
}

export default function PeopleSection() {
  const people = useWholeList(['people'], (query) => answered(api.GET('/v1/people', { params: { query } })));
  const [shown, setShown] = useState<PersonShown>(null);
  const momentText = useMomentText();
  const limitText = useLimitText();
  const { id: me } = useReader().session.person;
  const columns = useMemo(
    () => [
      column<Person>('Name', ({ name }) => name),
      column<Person>('Address', ({ email }) => email),
      column<Person>('Role', ({ role }) => roleNames[role]),
      column<Person>('Sees', limitText),
      column<Person>(
        'State',
        ({ state }) => state,
        (person) => <PersonState person={person} />,
      ),
      column<Person>(
        'Last signed in',
        ({ lastSignedInAt }) => lastSignedInAt ?? '',
        ({ lastSignedInAt }) => momentText(lastSignedInAt),
      ),
      actions<Person>((person) =>
        actsOf(person, me).map((act) => (
          <Button
            key={act}
            kind="quiet"
            onClick={() => setShown({ act, person })}
            aria-label={`${ACT_NAMES[act]}: ${person.name}`}
          >
            {ACT_NAMES[act]}
          </Button>
        )),
      ),
    ],
    [limitText, momentText, me],
  );
  return (
    <Part
      title="Who may sign in"
      tools={
        <Button kind="main" onClick={() => setShown({ act: 'edit', person: null })}>
          Invite somebody
        </Button>
      }
    >
      <Listed what="the people" query={people}>
        {(rows) => (
          <DataTable
            caption="People"
            columns={columns}
            rows={rows}
            rowId={({ id }) => id}
            empty="Nobody is invited yet."
          />
        )}
      </Listed>
      <PeopleDialogs shown={shown} show={setShown} />
    </Part>
  );
}
