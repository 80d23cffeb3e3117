import { Check, Column, Entity, ForeignKey } from 'typeorm';
import { TimestampedRecord } from '../../platform/database/tenant-record';
import type { DeliveryAttempt } from './delivery-attempt';
import type { DisabledReason } from './endpoint-health';

@Entity('webhook_endpoints')
@Check(
  'webhook_endpoints_disabled_check',
  `disabled_reason IS NULL OR (disabled_reason IN ('gone', 'unreachable') AND NOT enabled)`,
)
@ForeignKey('Organisation', ['organisationId'], ['organisationId'], {
  name: 'webhook_endpoints_organisation_fkey',
})
export class WebhookEndpoint extends TimestampedRecord {
  @Column('text')
  url!: string;

  @Column('text', { nullable: true })
  description!: string | null;

  /** null: every type */
  @Column('text', { array: true, nullable: true })
  eventTypes!: string[] | null;

  /** null: every fleet of the organisation */
  @Column('uuid', { array: true, nullable: true })
  fleetIds!: string[] | null;

  /** null: every workshop of the organisation */
  @Column('uuid', { array: true, nullable: true })
  workshopIds!: string[] | null;

  /** what its people want */
  @Column('boolean')
  enabled!: boolean;

  /** why deliveries were ended without being asked to */
  @Column('text', { nullable: true })
  disabledReason!: DisabledReason | null;

  /** names the latest request for consent; answers to earlier ones do not count */
  @Column('uuid')
  consentRequestId!: string;

  /** when it is due */
  @Column('timestamptz')
  consentRequestedAt!: Date;

  /** what the receiver has to answer to it */
  @Column('text')
  challenge!: string;

  @Column('timestamptz', { nullable: true })
  consentedAt!: Date | null;

  @Column('jsonb', { nullable: true })
  lastConsentAttempt!: DeliveryAttempt | null;

  /** with `cursorSequence` the place in the feed up to which deliveries have been made */
  @Column('bigint')
  cursorXid!: string;

  @Column('bigint')
  cursorSequence!: string;

  @Column('timestamptz', { nullable: true })
  failingSince!: Date | null;

  /** the receiver asked to be left alone until then */
  @Column('timestamptz', { nullable: true })
  resumeAt!: Date | null;

  /** then events had been forgotten that it should have been told of */
  @Column('timestamptz', { nullable: true })
  eventsLostAt!: Date | null;

  @Column('text')
  createdBy!: string;
}
