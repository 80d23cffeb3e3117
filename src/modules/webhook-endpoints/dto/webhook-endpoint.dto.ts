import { ApiProperty } from '@nestjs/swagger';
import { endpointState, endpointStates, type EndpointState } from '../endpoint-state';
import type { WebhookEndpoint } from '../webhook-endpoint.entity';
import type { WebhookSigningSecret } from '../webhook-signing-secret.entity';
import { DeliveryAttemptDto } from './webhook-delivery.dto';

/** A secret that signs, without the secret itself. */
export class SigningSecretDto {
  id!: string;
  @ApiProperty({ format: 'date-time' })
  createdAt!: string;
  /** From then on it signs no more; null signs until it is replaced. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  endsAt!: string | null;
}

/** An address that is told of changes as they happen. */
export class WebhookEndpointDto {
  id!: string;
  url!: string;
  @ApiProperty({ type: String, nullable: true })
  description!: string | null;
  /** The types of events that it is told of; null is all of them. */
  @ApiProperty({ type: [String], nullable: true })
  eventTypes!: string[] | null;
  /** The fleets that it is told of; null is every fleet, and what concerns the whole organisation. */
  @ApiProperty({ type: [String], format: 'uuid', nullable: true })
  fleetIds!: string[] | null;
  /** The workshops that it is told of; null is every workshop. */
  @ApiProperty({ type: [String], format: 'uuid', nullable: true })
  workshopIds!: string[] | null;
  enabled!: boolean;
  /**
   * `awaiting-consent`: the receiver has not answered with the challenge yet. `active`: messages are sent. `paused`: its
   * people want none at present. `disabled`: deliveries were ended, see `disabledReason`.
   */
  @ApiProperty({ enum: endpointStates })
  state!: EndpointState;
  /** `gone`: the receiver answered 410. `unreachable`: it has taken nothing for five days. */
  @ApiProperty({ type: String, enum: ['gone', 'unreachable', null], nullable: true })
  disabledReason!: 'gone' | 'unreachable' | null;
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  consentedAt!: string | null;
  /** What came of asking for consent last. */
  @ApiProperty({ type: DeliveryAttemptDto, nullable: true })
  lastConsentAttempt!: DeliveryAttemptDto | null;
  /** Since then every attempt has failed; null while they succeed. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  failingSince!: string | null;
  /**
   * At that moment events had been forgotten by the change feed before this endpoint, paused or failing for too long,
   * was told of them: read what you keep a copy of again. Null where nothing was lost.
   */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  eventsLostAt!: string | null;
  /** The secrets that sign, newest first. */
  secrets!: SigningSecretDto[];
  createdBy!: string;
  @ApiProperty({ format: 'date-time' })
  createdAt!: string;
  revision!: number;
}

export class WebhookEndpointPageDto {
  items!: WebhookEndpointDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** An endpoint with a secret that has just been made. */
export class NewWebhookSecretDto extends WebhookEndpointDto {
  /**
   * The secret that the receiver verifies messages with, shown now and never again. Null where this answer repeats an
   * earlier one (same Idempotency-Key); if that one was lost, rotate the secret.
   * @example whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw
   */
  @ApiProperty({ type: String, nullable: true })
  secret!: string | null;
}

export function toWebhookEndpointDto(
  endpoint: WebhookEndpoint,
  secrets: readonly WebhookSigningSecret[],
  now: number,
): WebhookEndpointDto {
  return {
    id: endpoint.id,
    url: endpoint.url,
    description: endpoint.description,
    eventTypes: endpoint.eventTypes,
    fleetIds: endpoint.fleetIds,
    workshopIds: endpoint.workshopIds,
    enabled: endpoint.enabled,
    state: endpointState(endpoint),
    disabledReason: endpoint.disabledReason,
    consentedAt: endpoint.consentedAt?.toISOString() ?? null,
    lastConsentAttempt: endpoint.lastConsentAttempt,
    failingSince: endpoint.failingSince?.toISOString() ?? null,
    eventsLostAt: endpoint.eventsLostAt?.toISOString() ?? null,
    secrets: secrets
      .filter(
        ({ endpointId, endsAt }) => endpointId === endpoint.id && (endsAt === null || endsAt.getTime() > now),
      )
      .map(({ id, createdAt, endsAt }) => ({
        id,
        createdAt: createdAt.toISOString(),
        endsAt: endsAt?.toISOString() ?? null,
      })),
    createdBy: endpoint.createdBy,
    createdAt: endpoint.createdAt.toISOString(),
    revision: endpoint.revision,
  };
}
