import { Check, Column, Entity, ForeignKey, Index, Unique } from 'typeorm';
import { TenantRecord } from '../../platform/database/tenant-record';
import type { DeliveryAttempt } from './delivery-attempt';

export const deliveryStates = ['waiting', 'delivered', 'dead'] as const;

export type DeliveryState = (typeof deliveryStates)[number];

/** One event on its way to one endpoint. What it says stands with the event. */
@Entity('webhook_deliveries')
@Unique('webhook_deliveries_event_key', ['organisationId', 'endpointId', 'eventId'])
@Index('webhook_deliveries_list_idx', ['organisationId', 'endpointId', 'id'])
@Index('webhook_deliveries_waiting_idx', ['organisationId', 'endpointId', 'lane', 'xid', 'sequence'], {
  where: `state = 'waiting'`,
})
@Index('webhook_deliveries_state_idx', ['organisationId', 'endpointId', 'state', 'id'])
@Index('webhook_deliveries_settled_idx', ['organisationId', 'endpointId', 'settledAt'], {
  where: `settled_at IS NOT NULL`,
})
@Check('webhook_deliveries_state_check', `state IN ('waiting', 'delivered', 'dead')`)
@ForeignKey('WebhookEndpoint', ['organisationId', 'endpointId'], ['organisationId', 'id'], {
  name: 'webhook_deliveries_endpoint_fkey',
  onDelete: 'CASCADE',
})
export class WebhookDelivery extends TenantRecord {
  @Column('uuid')
  endpointId!: string;

  @Column('uuid')
  eventId!: string;

  @Column('text')
  eventType!: string;

  /** deliveries of one lane go one after the other: a vehicle's, or those of one subject without a vehicle */
  @Column('text')
  lane!: string;

  /** with `sequence` the place of the event in the feed */
  @Column('bigint')
  xid!: string;

  @Column('bigint')
  sequence!: string;

  @Column('text')
  state!: DeliveryState;

  /** since it was made or replayed */
  @Column('integer', { default: 0 })
  failedAttempts!: number;

  /** after a failure; otherwise its turn comes when those before it in its lane are done */
  @Column('timestamptz', { nullable: true })
  nextAttemptAt!: Date | null;

  /** the latest attempts, oldest first, those before a replay included */
  @Column('jsonb', { default: [] })
  attempts!: DeliveryAttempt[];

  @Column('timestamptz', { default: () => 'now()' })
  createdAt!: Date;

  /** delivered or given up */
  @Column('timestamptz', { nullable: true })
  settledAt!: Date | null;
}
