import { useMutation, useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Link, useLocation } from 'wouter';
import { answered, api, ifMatch } from '../../../api/client';
import { Button } from '../../../design/button';
import { Notice, ProblemNotice } from '../../../design/notice';
import { RotateDialog } from '../access/rotate-dialog';
import { ConfirmDialog } from '../parts/confirm-dialog';
import { useLimitText } from '../parts/limits';
import { useReadAgain } from '../parts/lists';
import { Listed } from '../parts/listed';
import { Part } from '../parts/part';
import { ShownOnce } from '../parts/shown-once';
import { useMomentText } from '../parts/use-moment-text';
import { attemptText } from './attempt-text';
import { DeliveriesPart } from './deliveries-part';
import { EndpointDialog } from './endpoint-dialog';
import { EndpointState, type Endpoint } from './endpoint-state';
import { ReplayDialog } from './replay-dialog';

type Shown = 'edit' | 'rotate' | 'delete' | 'replay' | { secret: string | null } | null;

/** One endpoint: what it is told of, whether it takes it, and every delivery. */
export function EndpointPart({ endpointId }: { endpointId: string }) {
  const address = ['administration', 'webhooks', endpointId];
  const at = { params: { path: { webhookEndpointId: endpointId } } };
  const read = () => answered(api.GET('/v1/webhook-endpoints/{webhookEndpointId}', at));
  const endpoint = useQuery({ queryKey: address, queryFn: read });
  return (
    <>
      <p>
        <Link href="/administration/webhooks">All endpoints</Link>
      </p>
      <Listed what="the endpoint" query={endpoint}>
        {(record) => <OneEndpoint endpoint={record} />}
      </Listed>
      <DeliveriesPart endpointId={endpointId} />
    </>
  );
}

function OneEndpoint({ endpoint }: { endpoint: Endpoint }) {
  const [shown, setShown] = useState<Shown>(null);
  const momentText = useMomentText();
  const limitText = useLimitText();
  const queries = useQueryClient();
  const { lastConsentAttempt: consent } = endpoint;
  const keep = (record: Endpoint) => {
    queries.setQueryData(['administration', 'webhooks', endpoint.id], record);
    void queries.invalidateQueries({ queryKey: ['administration', 'webhooks'], exact: true });
  };
  const at = { path: { webhookEndpointId: endpoint.id } };
  const act = useMutation({
    mutationFn: (what: 'pause' | 'consent') =>
      what === 'consent'
        ? answered(api.POST('/v1/webhook-endpoints/{webhookEndpointId}/request-consent', { params: at }))
        : answered(
            api.PATCH('/v1/webhook-endpoints/{webhookEndpointId}', {
              params: { ...at, header: ifMatch(endpoint) },
              body: { enabled: !endpoint.enabled || endpoint.state === 'disabled' },
            }),
          ),
    onSuccess: keep,
  });
  return (
    <Part title={endpoint.url}>
      <EndpointState endpoint={endpoint} />
      {endpoint.eventsLostAt === null ? null : (
        <Notice tone="warn" title={`Events were lost on ${momentText(endpoint.eventsLostAt)}.`}>
          <p>
            They waited longer than they are kept. The receiver has to read again what it keeps a copy of.
          </p>
        </Notice>
      )}
      <ul>
        <li>Told of {endpoint.eventTypes === null ? 'everything' : endpoint.eventTypes.join(', ')}</li>
        <li>Limited to: {limitText(endpoint)}</li>
        <li>Consent given: {momentText(endpoint.consentedAt)}</li>
        {consent === null ? null : (
          <li>
            Asked for consent last on {momentText(consent.startedAt)}: {attemptText(consent)}
          </li>
        )}
        {endpoint.failingSince === null ? null : <li>Failing since {momentText(endpoint.failingSince)}</li>}
        {endpoint.secrets.map(({ id, createdAt, endsAt }) => (
          <li key={id}>
            Secret made {momentText(createdAt)}
            {endsAt === null ? ', signs until it is replaced' : `, signs until ${momentText(endsAt)}`}
          </li>
        ))}
      </ul>
      <ProblemNotice error={act.error} />
      <div className="row">
        <Button onClick={() => setShown('edit')}>Change</Button>
        {endpoint.state === 'awaiting-consent' ? (
          <Button busy={act.isPending} onClick={() => act.mutate('consent')}>
            Ask for consent again
          </Button>
        ) : null}
        <Button busy={act.isPending} onClick={() => act.mutate('pause')}>
          {endpoint.enabled && endpoint.state !== 'disabled' ? 'Pause' : 'Go on'}
        </Button>
        <Button onClick={() => setShown('rotate')}>Replace the secret</Button>
        <Button onClick={() => setShown('replay')}>Send again since …</Button>
        <Button kind="danger" onClick={() => setShown('delete')}>
          Delete
        </Button>
      </div>
      <EndpointDialogs endpoint={endpoint} shown={shown} show={setShown} onKept={keep} />
    </Part>
  );
}

interface EndpointDialogsProps {
  endpoint: Endpoint;
  shown: Shown;
  show: (shown: Shown) => void;
  onKept: (endpoint: Endpoint) => void;
}

function EndpointDialogs({ endpoint, shown, show, onKept }: EndpointDialogsProps) {
  const [, navigate] = useLocation();
  const readAgain = useReadAgain();
  const close = () => show(null);
  const path = { webhookEndpointId: endpoint.id };
  if (shown === null) return null;
  if (typeof shown === 'object')
    return <ShownOnce title="The new secret" label="Secret" secret={shown.secret} onClose={close} />;
  switch (shown) {
    case 'edit':
      return (
        <EndpointDialog
          endpoint={endpoint}
          onMade={() => undefined}
          onKept={() => {
            readAgain('webhooks');
            close();
          }}
          onClose={close}
        />
      );
    case 'rotate':
      return (
        <RotateDialog
          title="Replace the secret"
          what="secret"
          rotate={(body) =>
            answered(
              api.POST('/v1/webhook-endpoints/{webhookEndpointId}/rotate-secret', { params: { path }, body }),
            )
          }
          onRotated={({ secret, ...record }) => {
            onKept(record);
            show({ secret });
          }}
          onClose={close}
        />
      );
    case 'replay':
      return <ReplayDialog endpointId={endpoint.id} onClose={close} />;
    case 'delete':
      return (
        <ConfirmDialog
          title="Delete the endpoint?"
          action="Delete it"
          onConfirm={() =>
            answered(
              api.DELETE('/v1/webhook-endpoints/{webhookEndpointId}', {
                params: { path, header: ifMatch(endpoint) },
              }),
            )
          }
          onDone={() => {
            readAgain('webhooks');
            navigate('/administration/webhooks');
          }}
          onClose={close}
        >
          <p>
            {endpoint.url} is told of nothing more, its deliveries and its secret are gone, and messages that
            wait for it are not sent. To stop for a while, pause it instead.
          </p>
        </ConfirmDialog>
      );
  }
}
