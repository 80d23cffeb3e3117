import { endpointState, type EndpointState } from './endpoint-state';
import type { WebhookEndpoint } from './webhook-endpoint.entity';

/** What the audit trail says of an endpoint. */
export type AuditedEndpoint = Pick<
  WebhookEndpoint,
  'description' | 'eventTypes' | 'fleetIds' | 'workshopIds' | 'enabled' | 'disabledReason' | 'revision'
> & {
  /** without path and query, which are what some receivers know their senders by */
  origin: string;
  state: EndpointState;
};

export function auditedEndpoint(endpoint: WebhookEndpoint): AuditedEndpoint {
  const { description, eventTypes, fleetIds, workshopIds, enabled, disabledReason, revision } = endpoint;
  return {
    origin: new URL(endpoint.url).origin,
    description,
    eventTypes,
    fleetIds,
    workshopIds,
    enabled,
    disabledReason,
    state: endpointState(endpoint),
    revision,
  };
}
