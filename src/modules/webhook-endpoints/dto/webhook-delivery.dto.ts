import { ApiProperty } from '@nestjs/swagger';
import { attemptFailures, type AttemptFailure } from '../delivery-attempt';
import { deliveryStates, type DeliveryState, type WebhookDelivery } from '../webhook-delivery.entity';

/** One attempt to send a message. */
export class DeliveryAttemptDto {
  @ApiProperty({ format: 'date-time' })
  startedAt!: string;
  @ApiProperty({ type: 'integer' })
  durationMs!: number;
  /** Status of the answer; null where there was none. */
  @ApiProperty({ type: 'integer', nullable: true })
  status!: number | null;
  /** Why there was no answer. New reasons may come. */
  @ApiProperty({ type: String, nullable: true, example: attemptFailures[0] })
  failure!: AttemptFailure | null;
  @ApiProperty({ type: String, nullable: true })
  detail!: string | null;
  /** The beginning of the answer's body. */
  @ApiProperty({ type: String, nullable: true })
  answer!: string | null;
}

/** An event on its way to an endpoint. */
export class WebhookDeliveryDto {
  id!: string;
  /** Id of the event, and `webhook-id` of every attempt to send it. */
  @ApiProperty({ format: 'uuid' })
  eventId!: string;
  /** @example booking.moved */
  eventType!: string;
  /**
   * Deliveries with the same key are sent one after the other, in the order of the change feed: those of a vehicle, or of
   * one subject where no vehicle is concerned.
   * @example vehicle:019ac1f2-7a30-7b61-a0c3-5f1d0e6f2b12
   */
  orderingKey!: string;
  /** `waiting`: to be sent, or to be sent again. `delivered`: answered with 2xx. `dead`: given up after the last attempt. */
  @ApiProperty({ enum: deliveryStates })
  state!: DeliveryState;
  /** Failed attempts since it was made or replayed. */
  @ApiProperty({ type: 'integer' })
  failedAttempts!: number;
  /** When a failed attempt is followed by the next; null where none has failed yet, and when it is over. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  nextAttemptAt!: string | null;
  /** The latest twenty attempts, oldest first. */
  attempts!: DeliveryAttemptDto[];
  @ApiProperty({ format: 'date-time' })
  createdAt!: string;
  /** When it was delivered or given up. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  settledAt!: string | null;
}

export class WebhookDeliveryPageDto {
  items!: WebhookDeliveryDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** How much is going to be sent again. */
export class ReplayedDeadLettersDto {
  @ApiProperty({ type: 'integer' })
  replayed!: number;
}

/** From where everything is going to be sent again. */
export class ReplayedSinceDto {
  @ApiProperty({ format: 'date-time' })
  since!: string;
  /** When the first event that is sent again was recorded; null where there is none. Older ones are no longer kept. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  firstRecordedAt!: string | null;
}

export function toWebhookDeliveryDto(delivery: WebhookDelivery): WebhookDeliveryDto {
  return {
    id: delivery.id,
    eventId: delivery.eventId,
    eventType: delivery.eventType,
    orderingKey: delivery.lane,
    state: delivery.state,
    failedAttempts: delivery.failedAttempts,
    nextAttemptAt: delivery.nextAttemptAt?.toISOString() ?? null,
    attempts: delivery.attempts,
    createdAt: delivery.createdAt.toISOString(),
    settledAt: delivery.settledAt?.toISOString() ?? null,
  };
}
