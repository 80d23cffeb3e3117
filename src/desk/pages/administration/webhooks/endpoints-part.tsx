import { useMemo, useState } from 'react';
import { Link } from 'wouter';
import { answered, api } from '../../../api/client';
import { Button } from '../../../design/button';
import { DataTable } from '../../../design/data-table';
import { column } from '../parts/columns';
import { useReadAgain, useWholeList } from '../parts/lists';
import { Listed } from '../parts/listed';
import { Part } from '../parts/part';
import { ShownOnce } from '../parts/shown-once';
import { EndpointDialog } from './endpoint-dialog';
import { EndpointState, type Endpoint } from './endpoint-state';

export function EndpointsPart() {
  const endpoints = useWholeList(['webhooks'], (query) =>
    answered(api.GET('/v1/webhook-endpoints', { params: { query } })),
  );
  const readAgain = useReadAgain();
  const [adding, setAdding] = useState(false);
  const [made, setMade] = useState<{ url: string; secret: string | null } | null>(null);
  const columns = useMemo(
    () => [
      column<Endpoint>(
        'Address',
        ({ url }) => url,
        ({ id, url }) => <Link href={`/administration/webhooks/${id}`}>{url}</Link>,
      ),
      column<Endpoint>('For', ({ description }) => description ?? '–'),
      column<Endpoint>('Told of', ({ eventTypes }) =>
        eventTypes === null ? 'everything' : `${eventTypes.length} kinds of events`,
      ),
      column<Endpoint>(
        'State',
        ({ state }) => state,
        (endpoint) => <EndpointState endpoint={endpoint} />,
      ),
    ],
    [],
  );
  return (
    <Part title="Endpoints" tools={<Button onClick={() => setAdding(true)}>Add an endpoint</Button>}>
      <Listed what="the endpoints" query={endpoints}>
        {(rows) => (
          <DataTable
            caption="Webhook endpoints"
            columns={columns}
            rows={rows}
            rowId={({ id }) => id}
            empty="No endpoint. With one, another system is told of every change as it happens."
          />
        )}
      </Listed>
      {adding ? (
        <EndpointDialog
          endpoint={null}
          onMade={(endpoint) => {
            readAgain('webhooks');
            setAdding(false);
            setMade(endpoint);
          }}
          onKept={() => undefined}
          onClose={() => setAdding(false)}
        />
      ) : null}
      {made === null ? null : (
        <ShownOnce
          title="The secret of the endpoint"
          label="Secret"
          secret={made.secret}
          onClose={() => setMade(null)}
        >
          <p>
            Hand it to whoever runs {made.url}: the receiver verifies messages with it, and has to answer the
            first one, which asks for its consent.
          </p>
        </ShownOnce>
      )}
    </Part>
  );
}
