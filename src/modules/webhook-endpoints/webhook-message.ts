import type { Event } from '../../platform/audit/event.entity';
import type { WebhookEndpoint } from './webhook-endpoint.entity';

/** Asks a receiver for its consent: an event of CloudEvents 1.0 like those that follow. */
export function consentMessage(
  { organisationId, id, consentRequestId, challenge }: WebhookEndpoint,
  at: Date,
): Record<string, unknown> {
  return {
    specversion: '1.0',
    id: consentRequestId,
    source: `/v1/organisations/${organisationId}`,
    type: 'webhook.consent',
    subject: `webhook-endpoint/${id}`,
    time: at.toISOString(),
    datacontenttype: 'application/json',
    data: { challenge },
  };
}

export function toChangeDto(organisationId: string, row: Event): Record<string, unknown> {
  return {
    specversion: '1.0',
    id: row.id,
    source: `/v1/organisations/${organisationId}`,
    type: row.type,
    subject: `${row.subjectType}/${row.subjectId}`,
    time: row.recordedAt.toISOString(),
    datacontenttype: 'application/json',
    ...(row.vehicleId === null ? {} : { vehicleid: row.vehicleId }),
    ...(row.fleetId === null ? {} : { fleetid: row.fleetId }),
    ...(row.workshopId === null ? {} : { workshopid: row.workshopId }),
    data: row.data,
  };
}
