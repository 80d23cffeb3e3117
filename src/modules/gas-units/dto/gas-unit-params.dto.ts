import { ApiProperty } from '@nestjs/swagger';
import { IsIn, IsOptional, IsString, IsUUID, Length } from 'class-validator';
import { IsCode } from '../../../platform/http/is-code';
import { IsInstant } from '../../../platform/http/is-instant';
import { PageQueryDto } from '../../../platform/http/page-query.dto';
import { unitStates } from './gas-unit.dto';
import { SerialNumberText } from './serial-number-text';
import { DISPLACED_TO, type DisplacedTo } from './unit-move.dto';

export class GasUnitParamsDto {
  @IsUUID()
  gasUnitId!: string;
}

export class UnitPlacementParamsDto {
  @IsUUID()
  placementId!: string;
}

export class UnitVehicleParamsDto {
  @IsUUID()
  vehicleId!: string;
}

export class ListGasUnitsQueryDto extends PageQueryDto {
  /** `unknown`: nobody recorded where they are. */
  @IsOptional()
  @IsIn(unitStates)
  @ApiProperty({ required: false, enum: unitStates })
  state?: (typeof unitStates)[number];

  /** Only units on the shelf of this depot. */
  @IsOptional()
  @IsUUID()
  depotId?: string;

  @IsOptional()
  @IsUUID()
  fleetId?: string;

  /** Only units that are fitted to this vehicle now. */
  @IsOptional()
  @IsUUID()
  vehicleId?: string;

  @IsOptional()
  @IsUUID()
  unitTypeId?: string;

  /** Beginning of the serial number; capitals do not matter. */
  @IsOptional()
  @SerialNumberText()
  @IsString()
  @Length(1, 60)
  serialNumber?: string;

  /** Part of the serial number; spaces and capitals do not matter. */
  @IsOptional()
  @IsString()
  @Length(1, 40)
  search?: string;
}

export class GasUnitStockQueryDto {
  @IsOptional()
  @IsUUID()
  fleetId?: string;

  /** Where the shelf is, or where the vehicle belongs. */
  @IsOptional()
  @IsUUID()
  depotId?: string;

  @IsOptional()
  @IsUUID()
  unitTypeId?: string;
}

export class UnitPlacementsQueryDto extends PageQueryDto {
  /** Only where it was at this moment; nothing where nobody recorded it. */
  @IsOptional()
  @IsInstant()
  @ApiProperty({ required: false, format: 'date-time' })
  at?: string;
}

export class VehiclePlacementsQueryDto extends PageQueryDto {
  /** Only at this position. @example suspension-front-left */
  @IsOptional()
  @IsCode()
  @ApiProperty({ required: false })
  position?: string;
}

export class VehicleUnitPositionsQueryDto {
  /** As it was at this moment; left out, now. */
  @IsOptional()
  @IsInstant()
  @ApiProperty({ required: false, format: 'date-time' })
  at?: string;
}

export class FittingPreviewQueryDto {
  @IsUUID()
  vehicleId!: string;

  /** @example suspension-front-left */
  @IsCode()
  position!: string;

  /** Where the unit would go that is fitted there; left out, such a unit is a reason to refuse. */
  @IsOptional()
  @IsIn(DISPLACED_TO)
  @ApiProperty({ required: false, enum: DISPLACED_TO })
  displaced?: DisplacedTo;
}
