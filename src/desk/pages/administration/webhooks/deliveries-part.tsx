import { useInfiniteQuery, useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { answered, api, type Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { SelectField } from '../../../design/field';
import { Notice, ProblemNotice } from '../../../design/notice';
import { Waiting } from '../../../design/page';
import { StateMark } from '../../../design/state-mark';
import { useReadAgain } from '../parts/lists';
import { Part } from '../parts/part';
import { useMomentText } from '../parts/use-moment-text';
import { attemptText } from './attempt-text';

type Delivery = Schemas['WebhookDeliveryDto'];
const TONES = { waiting: 'info', delivered: 'good', dead: 'bad' } as const;
const STATE_NAMES = { waiting: 'waiting', delivered: 'delivered', dead: 'given up' } as const;

/** Every delivery to an endpoint, newest first, with its attempts. */
export function DeliveriesPart({ endpointId }: { endpointId: string }) {
  const [state, setState] = useState<Delivery['state'] | ''>('');
  const readAgain = useReadAgain();
  const path = { webhookEndpointId: endpointId };
  const deliveries = useInfiniteQuery({
    queryKey: ['administration', 'webhooks', endpointId, 'deliveries', state],
    queryFn: ({ pageParam }) =>
      answered(
        api.GET('/v1/webhook-endpoints/{webhookEndpointId}/deliveries', {
          params: {
            path,
            query: {
              limit: 50,
              ...(state === '' ? {} : { state }),
              ...(pageParam === null ? {} : { cursor: pageParam }),
            },
          },
        }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
  });
  const replayDead = useMutation({
    mutationFn: () =>
      answered(
        api.POST('/v1/webhook-endpoints/{webhookEndpointId}/replay-dead-letters', { params: { path } }),
      ),
    onSuccess: () => readAgain('webhooks', endpointId),
  });
  const rows = deliveries.data?.pages.flatMap(({ items }) => items) ?? [];
  return (
    <Part
      title="Deliveries"
      tools={
        <Button busy={replayDead.isPending} onClick={() => replayDead.mutate()}>
          Send all that were given up again
        </Button>
      }
    >
      <SelectField
        label="Show"
        value={state}
        onChange={({ target }) => setState(target.value as Delivery['state'] | '')}
      >
        <option value="">All</option>
        <option value="waiting">Waiting</option>
        <option value="delivered">Delivered</option>
        <option value="dead">Given up</option>
      </SelectField>
      <ProblemNotice error={replayDead.error ?? deliveries.error} />
      {replayDead.data === undefined ? null : (
        <Notice tone="good" title={`${replayDead.data.replayed} are sent again.`} live />
      )}
      {deliveries.isPending ? <Waiting what="the deliveries" /> : null}
      {deliveries.isSuccess && rows.length === 0 ? <p className="soft">None.</p> : null}
      {rows.map((delivery) => (
        <OneDelivery key={delivery.id} endpointId={endpointId} delivery={delivery} />
      ))}
      {deliveries.hasNextPage ? (
        <div className="row">
          <Button busy={deliveries.isFetchingNextPage} onClick={() => void deliveries.fetchNextPage()}>
            Show older ones
          </Button>
        </div>
      ) : null}
    </Part>
  );
}

function OneDelivery({ endpointId, delivery }: { endpointId: string; delivery: Delivery }) {
  const momentText = useMomentText();
  const readAgain = useReadAgain();
  const replay = useMutation({
    mutationFn: () =>
      answered(
        api.POST('/v1/webhook-endpoints/{webhookEndpointId}/deliveries/{deliveryId}/replay', {
          params: { path: { webhookEndpointId: endpointId, deliveryId: delivery.id } },
        }),
      ),
    onSuccess: () => readAgain('webhooks', endpointId),
  });
  return (
    <article className="sheet stack">
      <div className="row spread">
        <h3>{delivery.eventType}</h3>
        <StateMark tone={TONES[delivery.state]}>{STATE_NAMES[delivery.state]}</StateMark>
      </div>
      <p className="small">
        Since {momentText(delivery.createdAt)}
        {delivery.nextAttemptAt === null
          ? ''
          : `; the next attempt is on ${momentText(delivery.nextAttemptAt)}`}
        . Message <span className="digits">{delivery.eventId}</span>
      </p>
      {delivery.attempts.length === 0 ? null : (
        <details>
          <summary>{delivery.attempts.length} attempts</summary>
          <ol>
            {delivery.attempts.map((attempt) => (
              <li key={attempt.startedAt}>
                {momentText(attempt.startedAt)}: {attemptText(attempt)}
                {attempt.answer === null || attempt.answer === '' ? null : (
                  <pre className="scroll small">{attempt.answer}</pre>
                )}
              </li>
            ))}
          </ol>
        </details>
      )}
      <ProblemNotice error={replay.error} />
      <div className="row">
        <Button busy={replay.isPending} onClick={() => replay.mutate()}>
          Send again
        </Button>
      </div>
    </article>
  );
}
