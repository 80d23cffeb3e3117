import { ApiProperty } from '@nestjs/swagger';

// The columns are those of the files that POST /v1/imports takes, by the same names.

/** A vehicle as a file states it. */
export class ExportedVehicleLineDto {
  externalKey!: string;
  depotKey!: string;
  fleetKey!: string | null;
  registrationMark!: string;
  fleetNumber!: string | null;
  vin!: string | null;
  dutyClass!: string;
  odometerUnit!: string;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  inServiceOn!: string | null;
  inServiceOdometerKm!: number | null;
  inServiceEngineHours!: number | null;
  statedYearlyDistanceKm!: number | null;
}

export class ExportedVehiclePageDto {
  items!: ExportedVehicleLineDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** A change of duty as a file states it. */
export class ExportedDutyChangeLineDto {
  vehicleKey!: string;
  externalKey!: string | null;
  @ApiProperty({ format: 'date' })
  fromOn!: string;
  dutyClass!: string;
  note!: string | null;
}

export class ExportedDutyChangePageDto {
  items!: ExportedDutyChangeLineDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** A layout as a file states it; what is not known is null. */
export class ExportedHydraulicLayoutLineDto {
  vehicleKey!: string;
  pumpKind!: string | null;
  antiSinkValves!: string | null;
  rearBrakeAccumulator!: string | null;
  steeringSupply!: string | null;
  steeringRegulator!: string | null;
  fluid!: string | null;
  reservoirLitres!: number | null;
  seenBy!: string | null;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  seenOn!: string | null;
  how!: string | null;
}

export class ExportedHydraulicLayoutPageDto {
  items!: ExportedHydraulicLayoutLineDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** A replaced instrument as a file states it. */
export class ExportedOdometerReplacementLineDto {
  vehicleKey!: string;
  externalKey!: string | null;
  meter!: string;
  @ApiProperty({ format: 'date-time' })
  replacedAt!: string;
  oldFinalValue!: number;
  oldUnit!: string;
  newInitialValue!: number;
  newUnit!: string;
  note!: string | null;
}

export class ExportedOdometerReplacementPageDto {
  items!: ExportedOdometerReplacementLineDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** Days off the road as a file states them. */
export class ExportedOffRoadPeriodLineDto {
  vehicleKey!: string;
  externalKey!: string | null;
  @ApiProperty({ format: 'date' })
  fromOn!: string;
  @ApiProperty({ format: 'date' })
  untilOn!: string;
  reason!: string;
}

export class ExportedOffRoadPeriodPageDto {
  items!: ExportedOffRoadPeriodLineDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** A reading as a file states it. */
export class ExportedOdometerReadingLineDto {
  vehicleKey!: string;
  externalKey!: string | null;
  meter!: string;
  @ApiProperty({ format: 'date-time' })
  readAt!: string;
  value!: number;
  unit!: string;
  source!: string;
}

export class ExportedOdometerReadingPageDto {
  items!: ExportedOdometerReadingLineDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** Work as a file states it. */
export class ExportedServiceHistoryLineDto {
  vehicleKey!: string;
  externalKey!: string | null;
  task!: string;
  position!: string | null;
  @ApiProperty({ format: 'date' })
  doneOn!: string;
  outcome!: string;
  odometer!: number | null;
  odometerUnit!: string | null;
  engineHours!: number | null;
  doneBy!: string | null;
  note!: string | null;
}

export class ExportedServiceHistoryPageDto {
  items!: ExportedServiceHistoryLineDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** A gas unit as a file states it. */
export class ExportedGasUnitLineDto {
  externalKey!: string;
  fleetKey!: string;
  typeCode!: string;
  serialNumber!: string;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  madeOn!: string | null;
  note!: string | null;
}

export class ExportedGasUnitPageDto {
  items!: ExportedGasUnitLineDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** Where a gas unit was, as a file states it. */
export class ExportedUnitPlacementLineDto {
  unitKey!: string;
  externalKey!: string | null;
  state!: string;
  @ApiProperty({ format: 'date-time' })
  fromAt!: string;
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  untilAt!: string | null;
  vehicleKey!: string | null;
  position!: string | null;
  depotKey!: string | null;
  vehicleTotalKmFrom!: number | null;
  vehicleTotalKmUntil!: number | null;
  note!: string | null;
}

export class ExportedUnitPlacementPageDto {
  items!: ExportedUnitPlacementLineDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** What was measured on a gas unit, as a file states it. */
export class ExportedUnitTestLineDto {
  unitKey!: string;
  externalKey!: string | null;
  kind!: string;
  @ApiProperty({ format: 'date-time' })
  doneAt!: string;
  doneBy!: string;
  pressureBarGauge!: number;
  gasTemperatureC!: number;
  ambientBar!: number;
  gaugeCode!: string | null;
  note!: string | null;
}

export class ExportedUnitTestPageDto {
  items!: ExportedUnitTestLineDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** What a line of each kind says. */
export interface ExportLines {
  vehicles: ExportedVehicleLineDto;
  'duty-changes': ExportedDutyChangeLineDto;
  'hydraulic-layouts': ExportedHydraulicLayoutLineDto;
  'odometer-replacements': ExportedOdometerReplacementLineDto;
  'off-road-periods': ExportedOffRoadPeriodLineDto;
  'odometer-readings': ExportedOdometerReadingLineDto;
  'service-history': ExportedServiceHistoryLineDto;
  'gas-units': ExportedGasUnitLineDto;
  'unit-placements': ExportedUnitPlacementLineDto;
  'unit-tests': ExportedUnitTestLineDto;
}

/** Kinds of file, as imports call them. */
export type ExportKind = keyof ExportLines;
