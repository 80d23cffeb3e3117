import { ApiProperty } from '@nestjs/swagger';
import { deriveFromLayout } from '../../../core/hydraulics/derive-from-layout';
import {
  UNVERIFIED_LAYOUT,
  type HydraulicLayout,
  type LayoutEvidenceByFact,
} from '../../../core/hydraulics/hydraulic-layout';
import type { HydraulicLayoutRecord } from '../hydraulic-layout-record.entity';
import { LayoutConclusionsDto, LayoutFactsDto, toLayoutConclusionsDto } from './layout-conclusions.dto';
import { LayoutEvidenceByFactDto } from './layout-evidence.dto';

/** The facts that somebody recorded, each with its evidence. */
export class RecordedLayoutDto extends LayoutFactsDto {
  @ApiProperty({ type: LayoutEvidenceByFactDto })
  evidence!: LayoutEvidenceByFact;
}

/** A vehicle's hydraulic system as it is known now. */
export class HydraulicSystemDto extends RecordedLayoutDto {
  vehicleId!: string;
  recordedBy!: string | null;
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  recordedAt!: string | null;
  /** Counts the versions of the record; 0 while nothing is recorded and so everything is unverified. */
  revision!: number;
  /** What follows from the facts. */
  derived!: LayoutConclusionsDto;
}

/** What was known of a hydraulic system from one moment until another. */
export class LayoutVersionDto extends RecordedLayoutDto {
  /** Counts from 1. */
  version!: number;
  recordedBy!: string;
  @ApiProperty({ format: 'date-time' })
  recordedAt!: string;
  /** From this moment another version is valid; null while this one is. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  supersededAt!: string | null;
}

export class LayoutVersionPageDto {
  items!: LayoutVersionDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export function layoutOfRecord(record: HydraulicLayoutRecord): HydraulicLayout {
  const { pumpKind, antiSinkValves, rearBrakeAccumulator, steeringSupply, steeringRegulator } = record;
  const { fluid, reservoirLitres } = record;
  return {
    pumpKind,
    antiSinkValves,
    rearBrakeAccumulator,
    steeringSupply,
    steeringRegulator,
    fluid,
    reservoirLitres,
  };
}

export function toHydraulicSystemDto(
  vehicleId: string,
  record: HydraulicLayoutRecord | null,
  revision: number,
): HydraulicSystemDto {
  const layout = record === null ? UNVERIFIED_LAYOUT : layoutOfRecord(record);
  const evidence = record?.evidence ?? {};
  return {
    vehicleId,
    ...layout,
    evidence,
    recordedBy: record?.recordedBy ?? null,
    recordedAt: record?.recordedAt.toISOString() ?? null,
    revision,
    derived: toLayoutConclusionsDto(deriveFromLayout(layout, { evidence })),
  };
}

export function toLayoutVersionDto({
  record,
  version,
}: {
  record: HydraulicLayoutRecord;
  version: number;
}): LayoutVersionDto {
  return {
    version,
    ...layoutOfRecord(record),
    evidence: record.evidence,
    recordedBy: record.recordedBy,
    recordedAt: record.recordedAt.toISOString(),
    supersededAt: record.supersededAt?.toISOString() ?? null,
  };
}
