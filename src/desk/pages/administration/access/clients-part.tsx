import { useMemo, useState } from 'react';
import { answered, api, ifMatch, type Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { DataTable } from '../../../design/data-table';
import { CheckField } from '../../../design/field';
import { actions, column } from '../parts/columns';
import { ConfirmDialog } from '../parts/confirm-dialog';
import { useLimitText } from '../parts/limits';
import { useReadAgain, useWholeList } from '../parts/lists';
import { Listed } from '../parts/listed';
import { Part } from '../parts/part';
import { roleNames } from '../parts/roles';
import { ShownOnce } from '../parts/shown-once';
import { useMomentText } from '../parts/use-moment-text';
import { ClientDialog } from './client-dialog';
import { RotateDialog } from './rotate-dialog';
import { Validity } from './validity';

type Client = Schemas['OAuthClientDto'];
type ClientWithSecret = Schemas['OAuthClientWithSecretDto'];
type Shown =
  | { act: 'new' }
  | { act: 'rotate' | 'revoke'; client: Client }
  | { act: 'secret'; client: ClientWithSecret }
  | null;

export function ClientsPart() {
  const [revokedToo, setRevokedToo] = useState(false);
  const clients = useWholeList(['clients', String(revokedToo)], (query) =>
    answered(api.GET('/v1/oauth-clients', { params: { query: { ...query, includeRevoked: revokedToo } } })),
  );
  const limitText = useLimitText();
  const momentText = useMomentText();
  const [shown, setShown] = useState<Shown>(null);
  const columns = useMemo(
    () => [
      column<Client>('Client', ({ name }) => name),
      column<Client>(
        'Client id',
        ({ clientId }) => clientId,
        ({ clientId }) => <span className="digits">{clientId}</span>,
      ),
      column<Client>('Role', ({ role }) => roleNames[role]),
      column<Client>('Scopes', ({ scopes }) => scopes.join(', ')),
      column<Client>('Sees', limitText),
      column<Client>(
        'State',
        ({ revokedAt }) => revokedAt ?? '',
        ({ revokedAt }) => <Validity revokedAt={revokedAt} endsAt={null} />,
      ),
      column<Client>(
        'Secret made',
        ({ secretMadeAt }) => secretMadeAt,
        ({ secretMadeAt, previousSecretEndsAt }) =>
          previousSecretEndsAt === null
            ? momentText(secretMadeAt)
            : `${momentText(secretMadeAt)}; the one before counts until ${momentText(previousSecretEndsAt)}`,
      ),
      actions<Client>((client) =>
        client.revokedAt !== null ? null : (
          <>
            <Button
              kind="quiet"
              aria-label={`Replace secret of ${client.name}`}
              onClick={() => setShown({ act: 'rotate', client })}
            >
              Replace secret
            </Button>
            <Button
              kind="quiet"
              aria-label={`Revoke client ${client.name}`}
              onClick={() => setShown({ act: 'revoke', client })}
            >
              Revoke
            </Button>
          </>
        ),
      ),
    ],
    [limitText, momentText],
  );
  return (
    <Part
      title="OAuth clients"
      tools={<Button onClick={() => setShown({ act: 'new' })}>Make a client</Button>}
    >
      <CheckField
        label="Show revoked clients too"
        checked={revokedToo}
        onChange={({ target }) => setRevokedToo(target.checked)}
      />
      <Listed what="the clients" query={clients}>
        {(rows) => (
          <DataTable
            caption="OAuth clients"
            columns={columns}
            rows={rows}
            rowId={({ id }) => id}
            empty="No client. Systems that can use OAuth 2.0 client credentials sign in with one instead of a key."
          />
        )}
      </Listed>
      <ClientDialogs shown={shown} show={setShown} />
    </Part>
  );
}

function ClientDialogs({ shown, show }: { shown: Shown; show: (shown: Shown) => void }) {
  const readAgain = useReadAgain();
  if (shown === null) return null;
  const close = () => show(null);
  const showSecret = (client: ClientWithSecret) => {
    readAgain('clients');
    show({ act: 'secret', client });
  };
  switch (shown.act) {
    case 'new':
      return <ClientDialog onMade={showSecret} onClose={close} />;
    case 'secret':
      return (
        <ShownOnce
          title={`Client ${shown.client.name}`}
          label="Client secret"
          secret={shown.client.clientSecret}
          onClose={close}
        >
          <p>
            It signs in as <span className="digits">{shown.client.clientId}</span>.
          </p>
        </ShownOnce>
      );
    case 'rotate':
      return (
        <RotateDialog
          title={`Replace the secret of ${shown.client.name}`}
          what="secret"
          rotate={(body) =>
            answered(
              api.POST('/v1/oauth-clients/{oauthClientId}/rotate', {
                params: { path: { oauthClientId: shown.client.id } },
                body,
              }),
            )
          }
          onRotated={showSecret}
          onClose={close}
        />
      );
    case 'revoke':
      return (
        <ConfirmDialog
          title={`Revoke client ${shown.client.name}?`}
          action="Revoke it"
          onConfirm={() =>
            answered(
              api.DELETE('/v1/oauth-clients/{oauthClientId}', {
                params: { path: { oauthClientId: shown.client.id }, header: ifMatch(shown.client) },
              }),
            )
          }
          onDone={() => {
            readAgain('clients');
            close();
          }}
          onClose={close}
        >
          <p>
            <b>{shown.client.name}</b> gets no more tokens, and those that it has are refused at once: it
            stops reading and recording. It cannot be taken back; what was recorded with it stays.
          </p>
        </ConfirmDialog>
      );
  }
}
