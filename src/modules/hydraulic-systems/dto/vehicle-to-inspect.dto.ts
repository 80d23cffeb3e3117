import { ApiProperty } from '@nestjs/swagger';
import { deriveFromLayout } from '../../../core/hydraulics/derive-from-layout';
import { UNVERIFIED_LAYOUT } from '../../../core/hydraulics/hydraulic-layout';
import type { VehicleToInspect } from '../vehicles-to-inspect.repository';
import { INSPECTION_URGENCIES, urgencyOf, type InspectionUrgency } from '../inspection-urgency';
import { InspectionTaskDto, SafetyFindingDto, toLayoutConclusionsDto } from './layout-conclusions.dto';

/** A vehicle of whose hydraulic system something must still be looked at. */
export class VehicleToInspectDto {
  vehicleId!: string;
  fleetId!: string;
  depotId!: string;
  registrationMark!: string;
  fleetNumber!: string | null;
  /** Vehicles with a safety finding that stands come first, then those with a possible one. */
  @ApiProperty({ enum: INSPECTION_URGENCIES })
  urgency!: InspectionUrgency;
  safetyFindings!: SafetyFindingDto[];
  inspections!: InspectionTaskDto[];
}

export class VehicleToInspectPageDto {
  items!: VehicleToInspectDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export function toVehicleToInspectDto(vehicle: VehicleToInspect): VehicleToInspectDto {
  const { vehicleId, fleetId, depotId, registrationMark, fleetNumber, evidence } = vehicle;
  const conclusions = deriveFromLayout(vehicle.layout ?? UNVERIFIED_LAYOUT, { evidence });
  const { safetyFindings, inspections } = toLayoutConclusionsDto(conclusions);
  return {
    vehicleId,
    fleetId,
    depotId,
    registrationMark,
    fleetNumber,
    urgency: urgencyOf(conclusions) ?? 'next-visit',
    safetyFindings,
    inspections,
  };
}
