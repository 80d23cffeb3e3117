import type { ChangeDto } from '../changes/dto/change.dto';
import type { WebhookEndpoint } from './webhook-endpoint.entity';

/** Asks a receiver for its consent, in the form of the changes that follow. */
export function consentMessage(
  { organisationId, id, consentRequestId, challenge }: WebhookEndpoint,
  at: Date,
): ChangeDto {
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
