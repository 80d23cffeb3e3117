import { ApiProperty } from '@nestjs/swagger';
import type { Event } from '../../../platform/audit/event.entity';

/** One change as an event of CloudEvents 1.0, in its JSON format. */
export class ChangeDto {
  @ApiProperty({ enum: ['1.0'] })
  specversion!: '1.0';
  /**
   * The same whenever and however often this change is told, and that of its audit entry.
   * @example 019ac1f2-7a30-7b61-a0c3-5f1d0e6f2b11
   */
  id!: string;
  /**
   * The organisation whose change it is.
   * @example /v1/organisations/019ac1f2-7a30-7b61-a0c3-5f1d0e6f2b10
   */
  source!: string;
  /**
   * What changed and what happened to it. New types will come: pass over those that you do not know.
   * @example vehicle.changed
   */
  type!: string;
  /**
   * Kind and id of what changed.
   * @example vehicle/019ac1f2-7a30-7b61-a0c3-5f1d0e6f2b12
   */
  subject!: string;
  /** When the transaction of the change began; the order is that of the feed, not that of these times. */
  @ApiProperty({ format: 'date-time' })
  time!: string;
  @ApiProperty({ enum: ['application/json'] })
  datacontenttype!: 'application/json';
  /** The vehicle that it is about. */
  @ApiProperty({ required: false, format: 'uuid' })
  vehicleid?: string;
  /** The fleet that it is about; left out where it concerns the whole organisation. */
  @ApiProperty({ required: false, format: 'uuid' })
  fleetid?: string;
  /** The workshop that it is about. */
  @ApiProperty({ required: false, format: 'uuid' })
  workshopid?: string;
  /** What changed, as it is after the change; as it was last where it was deleted. */
  @ApiProperty({ type: 'object', additionalProperties: true })
  data!: Record<string, unknown>;
}

export class ChangePageDto {
  items!: ChangeDto[];
  /** Where to go on, also when there were no changes. */
  next!: string;
}

export type ChangeRow = Pick<
  Event,
  'id' | 'type' | 'subjectType' | 'subjectId' | 'vehicleId' | 'fleetId' | 'workshopId' | 'recordedAt'
> & { data: Record<string, unknown> };

export function toChangeDto(organisationId: string, row: ChangeRow): ChangeDto {
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
