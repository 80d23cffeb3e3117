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
import { KeyDialog } from './key-dialog';
import { RotateDialog } from './rotate-dialog';
import { Validity } from './validity';

type ApiKey = Schemas['ApiKeyDto'];
type Shown =
  | { act: 'new' }
  | { act: 'rotate' | 'revoke'; key: ApiKey }
  | { act: 'secret'; name: string; secret: string | null }
  | null;

export function KeysPart() {
  const [revokedToo, setRevokedToo] = useState(false);
  const keys = useWholeList(['keys', String(revokedToo)], (query) =>
    answered(api.GET('/v1/api-keys', { params: { query: { ...query, includeRevoked: revokedToo } } })),
  );
  const readAgain = useReadAgain();
  const limitText = useLimitText();
  const momentText = useMomentText();
  const [shown, setShown] = useState<Shown>(null);
  const columns = useMemo(
    () => [
      column<ApiKey>('Key', ({ name }) => name),
      column<ApiKey>('Role', ({ role }) => roleNames[role]),
      column<ApiKey>('Sees', limitText),
      column<ApiKey>(
        'State',
        ({ revokedAt, expiresAt }) => revokedAt ?? expiresAt ?? '',
        ({ revokedAt, expiresAt }) => <Validity revokedAt={revokedAt} endsAt={expiresAt} />,
      ),
      column<ApiKey>(
        'Made',
        ({ createdAt }) => createdAt,
        ({ createdAt }) => momentText(createdAt),
      ),
      actions<ApiKey>((key) =>
        key.revokedAt !== null ? null : (
          <>
            <Button
              kind="quiet"
              aria-label={`Replace key ${key.name}`}
              onClick={() => setShown({ act: 'rotate', key })}
            >
              Replace
            </Button>
            <Button
              kind="quiet"
              aria-label={`Revoke key ${key.name}`}
              onClick={() => setShown({ act: 'revoke', key })}
            >
              Revoke
            </Button>
          </>
        ),
      ),
    ],
    [limitText, momentText],
  );
  const close = () => setShown(null);
  const showSecret = ({ name, key }: { name: string; key: string | null }) => {
    readAgain('keys');
    setShown({ act: 'secret', name, secret: key });
  };
  return (
    <Part title="API keys" tools={<Button onClick={() => setShown({ act: 'new' })}>Make a key</Button>}>
      <CheckField
        label="Show revoked ones too"
        checked={revokedToo}
        onChange={({ target }) => setRevokedToo(target.checked)}
      />
      <Listed what="the keys" query={keys}>
        {(rows) => (
          <DataTable
            caption="API keys"
            columns={columns}
            rows={rows}
            rowId={({ id }) => id}
            empty="No key."
          />
        )}
      </Listed>
      {shown?.act === 'new' ? <KeyDialog onMade={showSecret} onClose={close} /> : null}
      {shown?.act === 'secret' ? (
        <ShownOnce title={`Key ${shown.name}`} label="Key" secret={shown.secret} onClose={close} />
      ) : null}
      {shown?.act === 'rotate' ? (
        <RotateDialog
          title={`Replace key ${shown.key.name}`}
          what="key"
          rotate={(body) =>
            answered(
              api.POST('/v1/api-keys/{keyId}/rotate', { params: { path: { keyId: shown.key.id } }, body }),
            )
          }
          onRotated={showSecret}
          onClose={close}
        />
      ) : null}
      {shown?.act === 'revoke' ? (
        <ConfirmDialog
          title={`Revoke key ${shown.key.name}?`}
          action="Revoke it"
          onConfirm={() =>
            answered(
              api.DELETE('/v1/api-keys/{keyId}', {
                params: { path: { keyId: shown.key.id }, header: ifMatch(shown.key) },
              }),
            )
          }
          onDone={() => {
            readAgain('keys');
            close();
          }}
          onClose={close}
        >
          <p>
            Whatever signs in with it as {roleNames[shown.key.role].toLowerCase()} is refused from now on:{' '}
            <b>{shown.key.name}</b> stops reading and recording. It cannot be taken back; what was recorded
            with it stays.
          </p>
        </ConfirmDialog>
      ) : null}
    </Part>
  );
}
