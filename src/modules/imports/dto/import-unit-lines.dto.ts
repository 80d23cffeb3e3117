import { IsIn, IsNumber, IsString, Length, Max, Min } from 'class-validator';
import {
  PRECHARGE_OBSERVATION_KINDS,
  type PrechargeObservationKind,
} from '../../../core/precharge/precharge-model';
import { UNIT_PLACEMENT_STATES, type UnitPlacementState } from '../../../core/hydraulics/unit-positions';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { IsCode } from '../../../platform/http/is-code';
import { IsInstant } from '../../../platform/http/is-instant';
import { MayBeNull } from '../../../platform/http/optional-fields';

export class GasUnitLine {
  @IsString()
  @Length(1, 100)
  externalKey!: string;

  @IsString()
  @Length(1, 100)
  fleetKey!: string;

  @IsCode()
  typeCode!: string;

  @IsString()
  @Length(1, 100)
  serialNumber!: string;

  @MayBeNull()
  @IsCalendarDate()
  madeOn?: string | null;

  @MayBeNull()
  @IsString()
  @Length(1, 2000)
  note?: string | null;
}

class LineOfUnit {
  /** the unit's external key */
  @IsString()
  @Length(1, 100)
  unitKey!: string;

  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;

  @MayBeNull()
  @IsString()
  @Length(1, 2000)
  note?: string | null;
}

export class UnitPlacementLine extends LineOfUnit {
  @IsIn(UNIT_PLACEMENT_STATES)
  state!: UnitPlacementState;

  @IsInstant()
  fromAt!: string;

  @MayBeNull()
  @IsInstant()
  untilAt?: string | null;

  @MayBeNull()
  @IsString()
  @Length(1, 100)
  vehicleKey?: string | null;

  @MayBeNull()
  @IsCode()
  position?: string | null;

  @MayBeNull()
  @IsString()
  @Length(1, 100)
  depotKey?: string | null;

  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(5_000_000)
  vehicleTotalKmFrom?: number | null;

  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(5_000_000)
  vehicleTotalKmUntil?: number | null;
}

export class UnitTestLine extends LineOfUnit {
  @IsIn(PRECHARGE_OBSERVATION_KINDS)
  kind!: PrechargeObservationKind;

  @IsInstant()
  doneAt!: string;

  @IsString()
  @Length(1, 200)
  doneBy!: string;

  @MayBeNull()
  @IsString()
  @Length(1, 100)
  gaugeCode?: string | null;

  /** what the gas allows is for the calculation to say, which names the limit */
  @IsNumber()
  @Min(-2)
  @Max(1_000)
  pressureBarGauge!: number;

  @IsNumber()
  @Min(-300)
  @Max(1_000)
  gasTemperatureC!: number;

  @MayBeNull()
  @IsNumber()
  @Min(0.3)
  @Max(1.3)
  ambientBar?: number | null;
}
