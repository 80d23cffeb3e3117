import { answered, api, ifMatch, type Schemas } from '../../../api/client';
import { Dialog } from '../../../design/dialog';
import { LimitFields, limitsOf, limitValuesOf } from '../parts/limits';
import { RecordForm } from '../parts/record-form';
import { without } from '../parts/three-way';
import { textOrNull } from '../parts/typed';
import type { Endpoint } from './endpoint-state';
import { eventTypeChoices, type EventType } from './event-types';

interface EndpointDialogProps {
  endpoint: Endpoint | null;
  onMade: (endpoint: Schemas['NewWebhookSecretDto']) => void;
  onKept: () => void;
  onClose: () => void;
}

export function EndpointDialog({ endpoint, onMade, onKept, onClose }: EndpointDialogProps) {
  return (
    <Dialog title={endpoint === null ? 'A new endpoint' : 'Change the endpoint'} onClose={onClose}>
      <RecordForm
        record={endpoint}
        valuesOf={(from: Endpoint | null) => ({
          url: from?.url ?? '',
          description: from?.description ?? '',
          eventTypes: from?.eventTypes ?? [],
          ...limitValuesOf(from),
        })}
        bodyOf={({ url, description, eventTypes, ...limits }) => ({
          url,
          description: textOrNull(description),
          eventTypes: eventTypes.length === 0 ? null : (eventTypes as EventType[]),
          ...limitsOf(limits),
        })}
        create={async (body) => onMade(await answered(api.POST('/v1/webhook-endpoints', { body })))}
        change={async (body, base) => {
          await answered(
            api.PATCH('/v1/webhook-endpoints/{webhookEndpointId}', {
              params: { path: { webhookEndpointId: base.id }, header: ifMatch(base) },
              body: without(body, 'fleetIds', 'workshopIds'),
            }),
          );
          onKept();
        }}
        readAgain={({ id }) =>
          answered(
            api.GET('/v1/webhook-endpoints/{webhookEndpointId}', {
              params: { path: { webhookEndpointId: id } },
            }),
          )
        }
        onKept={() => undefined}
        onCancel={onClose}
        keep={endpoint === null ? 'Add it' : 'Keep'}
      >
        {(fields) => (
          <>
            {fields.text('url', 'Address', {
              required: true,
              hint: 'An https address on the public internet. A new one is asked for its consent first.',
            })}
            {fields.text('description', 'For', { hint: 'Which system it is.' })}
            {fields.several(
              'eventTypes',
              'Told of',
              eventTypeChoices,
              'None ticked: of everything, kinds that come later included.',
            )}
            {endpoint === null ? <LimitFields fields={fields} /> : null}
          </>
        )}
      </RecordForm>
    </Dialog>
  );
}
