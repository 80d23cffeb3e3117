import { ApiProperty } from '@nestjs/swagger';
import type { Gauge } from '../gauge.entity';

/** A pressure gauge of a test rig. */
export class GaugeDto {
  id!: string;
  /** What is written on it. @example G-014 */
  code!: string;
  name!: string;
  /** End of its scale. */
  rangeHighBarGauge!: number;
  /** Last day on which its calibration counts; null where none is recorded. */
  @ApiProperty({ format: 'date', nullable: true, type: String })
  calibrationDueOn!: string | null;
  /** Whether that day is over; today is the day of UTC. */
  calibrationOverdue!: boolean;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  retiredOn!: string | null;
  revision!: number;
  createdAt!: string;
  updatedAt!: string;
}

export class GaugePageDto {
  items!: GaugeDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export function toGaugeDto(gauge: Gauge, calibrationOverdue: boolean): GaugeDto {
  return {
    id: gauge.id,
    code: gauge.code,
    name: gauge.name,
    rangeHighBarGauge: gauge.rangeHighBarGauge,
    calibrationDueOn: gauge.calibrationDueOn,
    calibrationOverdue,
    retiredOn: gauge.retiredOn,
    revision: gauge.revision,
    createdAt: gauge.createdAt.toISOString(),
    updatedAt: gauge.updatedAt.toISOString(),
  };
}
