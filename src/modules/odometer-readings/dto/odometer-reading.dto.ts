import { ApiProperty } from '@nestjs/swagger';
import { inTrackUnit, type ReadingUnit } from '../../../core/usage/meter-track';
import type { OdometerReading } from '../odometer-reading.entity';

export class SuspicionDto {
  /** @example likely-extra-digit */
  code!: string;
  /** What is wrong or what probably happened, with the numbers. */
  explanation!: string;
}

/** What an instrument showed at a moment, as it was given. */
export class OdometerReadingDto {
  id!: string;
  vehicleId!: string;
  @ApiProperty({ enum: ['odometer', 'engine-hours'] })
  meter!: 'odometer' | 'engine-hours';
  value!: number;
  @ApiProperty({ enum: ['km', 'mi', 'h'] })
  unit!: ReadingUnit;
  /** The value in kilometres; null for engine hours. */
  valueKm!: number | null;
  @ApiProperty({ format: 'date-time' })
  readAt!: string;
  /** @example driver-sheet */
  source!: string;
  /** The operator's own key. */
  externalKey!: string | null;
  /** A quarantined reading counts for nothing until somebody accepts it. */
  @ApiProperty({ enum: ['accepted', 'quarantined', 'rejected'] })
  state!: OdometerReading['state'];
  /** What was noticed when it was entered; an accepted reading may have remarks too. */
  suspicions!: SuspicionDto[];
  /** What the reading probably was, in its own unit, where one correction is clearly likely. */
  suggestedValue!: number | null;
  decidedBy!: string | null;
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  decidedAt!: string | null;
  decisionNote!: string | null;
  @ApiProperty({ format: 'date-time' })
  recordedAt!: string;
  revision!: number;
}

export class OdometerReadingPageDto {
  items!: OdometerReadingDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export class FleetOdometerReadingDto extends OdometerReadingDto {
  fleetId!: string;
  depotId!: string;
  registrationMark!: string;
  fleetNumber!: string | null;
}

export class FleetOdometerReadingPageDto {
  items!: FleetOdometerReadingDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export class DecidedReadingDto extends OdometerReadingDto {
  /** The accepted reading that stands in its place, where it was accepted with a correction. */
  @ApiProperty({ type: OdometerReadingDto, nullable: true })
  correctedReading!: OdometerReadingDto | null;
}

export function toOdometerReadingDto(reading: Omit<OdometerReading, 'organisationId'>): OdometerReadingDto {
  return {
    id: reading.id,
    vehicleId: reading.vehicleId,
    meter: reading.meter,
    value: reading.value,
    unit: reading.unit,
    valueKm: reading.meter === 'odometer' ? inTrackUnit(reading.value, reading.unit) : null,
    readAt: reading.readAt.toISOString(),
    source: reading.source,
    externalKey: reading.externalKey,
    state: reading.state,
    suspicions: reading.suspicions ?? [],
    suggestedValue: reading.suggestedValue,
    decidedBy: reading.decidedBy,
    decidedAt: reading.decidedAt?.toISOString() ?? null,
    decisionNote: reading.decisionNote,
    recordedAt: reading.recordedAt.toISOString(),
    revision: reading.revision,
  };
}

export function toFleetOdometerReadingDto(
  reading: Omit<OdometerReading, 'organisationId'> &
    Pick<FleetOdometerReadingDto, 'depotId' | 'registrationMark' | 'fleetNumber'>,
): FleetOdometerReadingDto {
  const { fleetId, depotId, registrationMark, fleetNumber } = reading;
  return { ...toOdometerReadingDto(reading), fleetId, depotId, registrationMark, fleetNumber };
}
