import { ApiProperty } from '@nestjs/swagger';
import type { ReadingUnit } from '../../../core/usage/meter-track';
import type { OdometerReadingDto } from '../../odometer-readings/dto/odometer-reading.dto';
import type { OdometerReplacement } from '../odometer-replacement.entity';

/** One instrument taken out and another put in; totals count on over the change. */
export class OdometerReplacementDto {
  id!: string;
  vehicleId!: string;
  @ApiProperty({ enum: ['odometer', 'engine-hours'] })
  meter!: 'odometer' | 'engine-hours';
  @ApiProperty({ format: 'date-time' })
  replacedAt!: string;
  /** What the old instrument showed last. */
  oldFinalValue!: number;
  @ApiProperty({ enum: ['km', 'mi', 'h'] })
  oldUnit!: ReadingUnit;
  /** What the new instrument showed first. */
  newInitialValue!: number;
  @ApiProperty({ enum: ['km', 'mi', 'h'] })
  newUnit!: ReadingUnit;
  note!: string | null;
  /** The operator's own key. */
  externalKey!: string | null;
  @ApiProperty({ format: 'date-time' })
  recordedAt!: string;
  revision!: number;
}

export class OdometerReplacementPageDto {
  items!: OdometerReplacementDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** A quarantined reading that the recorded replacement explains; a person still has to accept it. */
export class ReadingToDecideAgainDto {
  id!: string;
  @ApiProperty({ format: 'date-time' })
  readAt!: string;
  value!: number;
  @ApiProperty({ enum: ['km', 'mi', 'h'] })
  unit!: ReadingUnit;
  source!: string;
  revision!: number;
}

export class RecordedReplacementDto extends OdometerReplacementDto {
  /** Quarantined readings that would be accepted if they came in now. */
  readingsToDecideAgain!: ReadingToDecideAgainDto[];
}

export function toOdometerReplacementDto(replacement: OdometerReplacement): OdometerReplacementDto {
  return {
    id: replacement.id,
    vehicleId: replacement.vehicleId,
    meter: replacement.meter,
    replacedAt: replacement.replacedAt.toISOString(),
    oldFinalValue: replacement.oldFinalValue,
    oldUnit: replacement.oldUnit,
    newInitialValue: replacement.newInitialValue,
    newUnit: replacement.newUnit,
    note: replacement.note,
    externalKey: replacement.externalKey,
    recordedAt: replacement.recordedAt.toISOString(),
    revision: replacement.revision,
  };
}

export function toReadingToDecideAgainDto(reading: OdometerReadingDto): ReadingToDecideAgainDto {
  const { id, readAt, value, unit, source, revision } = reading;
  return { id, readAt, value, unit, source, revision };
}
