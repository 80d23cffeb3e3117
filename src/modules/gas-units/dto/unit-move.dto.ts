import { ApiProperty } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import {
  ArrayMaxSize,
  ArrayMinSize,
  IsArray,
  IsIn,
  IsNumber,
  IsObject,
  IsString,
  IsUUID,
  Length,
  Max,
  Min,
  ValidateNested,
} from 'class-validator';
import { UNIT_PLACEMENT_STATES, type UnitPlacementState } from '../../../core/hydraulics/unit-positions';
import { IsCode } from '../../../platform/http/is-code';
import { IsInstant } from '../../../platform/http/is-instant';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';
import { MovedVehicleDto, UnitCautionDto, UnitDueItemDto } from './unit-due-item.dto';
import { UnitPlacementDto } from './unit-placement.dto';

const FURTHEST_KM = 5_000_000;
const MOST_MOVES = 50;

export const DISPLACED_TO = ['on-the-shelf', 'away-for-recharge'] as const;
export type DisplacedTo = (typeof DISPLACED_TO)[number];

/** Where a unit goes; which of the other fields belong to it hangs on the state. */
export class DestinationDto {
  @IsIn(UNIT_PLACEMENT_STATES)
  @ApiProperty({ enum: UNIT_PLACEMENT_STATES })
  state!: UnitPlacementState;

  /** With `fitted`, and only then. */
  @MayBeNull()
  @IsUUID()
  vehicleId?: string | null;

  /** With `fitted`, and only then. @example suspension-front-left */
  @MayBeNull()
  @IsCode()
  position?: string | null;

  /** Whose shelf, with `on-the-shelf`. */
  @MayBeNull()
  @IsUUID()
  depotId?: string | null;

  /** Who recharges it, with `away-for-recharge`. */
  @MayBeNull()
  @IsString()
  @Length(1, 200)
  awayWith?: string | null;

  /** Total distance of the vehicle that it is fitted to; left out, what its readings say. */
  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(FURTHEST_KM)
  vehicleTotalKm?: number | null;
}

export class UnitMoveDto {
  @IsUUID()
  gasUnitId!: string;

  @IsObject()
  @ValidateNested()
  @Type(() => DestinationDto)
  @ApiProperty({ type: DestinationDto })
  to!: DestinationDto;

  /** Total distance of the vehicle that it leaves; left out, what its readings say. */
  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(FURTHEST_KM)
  vehicleTotalKm?: number | null;

  @MayBeNull()
  @IsString()
  @Length(1, 2000)
  note?: string | null;
}

/** Moves of one step: all are recorded, or none. */
export class CreateUnitMovesDto {
  /** When they were made; not later than now. */
  @IsInstant()
  @ApiProperty({ format: 'date-time' })
  at!: string;

  /** Who made them. */
  @IsString()
  @Length(1, 200)
  movedBy!: string;

  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(MOST_MOVES)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => UnitMoveDto)
  @ApiProperty({ type: [UnitMoveDto], minItems: 1, maxItems: MOST_MOVES })
  moves!: UnitMoveDto[];

  /** Where units go that sit where others are fitted now; left out, such a unit is a reason to refuse. */
  @MayBeAbsent()
  @IsIn(DISPLACED_TO)
  @ApiProperty({ required: false, enum: DISPLACED_TO })
  displaced?: DisplacedTo;
}

export class RecordedUnitMovesDto {
  /** Where the units are now, those included that gave way. */
  @ApiProperty({ type: [UnitPlacementDto] })
  placements!: UnitPlacementDto[];
  @ApiProperty({ type: [MovedVehicleDto] })
  vehicles!: MovedVehicleDto[];
  /** What deserves a second look. */
  warnings!: string[];
  @ApiProperty({ type: [UnitCautionDto] })
  cautions!: UnitCautionDto[];
}

/** What a unit would owe at a position; nothing is stored. */
export class FittingPreviewDto {
  gasUnitId!: string;
  vehicleId!: string;
  position!: string;
  /** The unit that would have to give way. */
  @ApiProperty({ type: UnitPlacementDto, nullable: true })
  displaces!: UnitPlacementDto | null;
  /** What would be owed at the position with this unit. */
  @ApiProperty({ type: [UnitDueItemDto] })
  owed!: UnitDueItemDto[];
  /** What the move would mean for each vehicle concerned. */
  @ApiProperty({ type: [MovedVehicleDto] })
  vehicles!: MovedVehicleDto[];
  warnings!: string[];
  @ApiProperty({ type: [UnitCautionDto] })
  cautions!: UnitCautionDto[];
}
