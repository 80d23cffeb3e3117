import { Column, Entity, ForeignKey, Index, PrimaryColumn } from 'typeorm';

/** A queue within an endpoint: its first waiting delivery holds back the others of the lane, and no others. */
@Entity('webhook_lanes')
@Index('webhook_lanes_due_idx', ['organisationId', 'endpointId', 'dueAt'])
@ForeignKey('WebhookEndpoint', ['organisationId', 'endpointId'], ['organisationId', 'id'], {
  name: 'webhook_lanes_endpoint_fkey',
  onDelete: 'CASCADE',
})
export class WebhookLane {
  @PrimaryColumn('uuid')
  organisationId!: string;

  @PrimaryColumn('uuid')
  endpointId!: string;

  @PrimaryColumn('text')
  lane!: string;

  /** when its first delivery may be sent; null while none waits */
  @Column('timestamptz', { nullable: true })
  dueAt!: Date | null;
}
