import { Column, CreateDateColumn, Entity, ForeignKey, Index } from 'typeorm';
import { TenantRecord } from '../../platform/database/tenant-record';

/** A secret that signs messages to an endpoint. There are several while one takes another's place. */
@Entity('webhook_signing_secrets')
@Index('webhook_signing_secrets_endpoint_idx', ['organisationId', 'endpointId'])
@ForeignKey('WebhookEndpoint', ['organisationId', 'endpointId'], ['organisationId', 'id'], {
  name: 'webhook_signing_secrets_endpoint_fkey',
  onDelete: 'CASCADE',
})
export class WebhookSigningSecret extends TenantRecord {
  @Column('uuid')
  endpointId!: string;

  /** encrypted: unlike a password it has to be read again */
  @Column('bytea')
  sealed!: Buffer;

  /** from then on it signs no more; null signs until it is replaced */
  @Column('timestamptz', { nullable: true })
  endsAt!: Date | null;

  @CreateDateColumn({ type: 'timestamptz', default: () => 'now()' })
  createdAt!: Date;
}
