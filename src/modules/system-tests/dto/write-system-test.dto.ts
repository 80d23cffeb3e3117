import { ApiProperty } from '@nestjs/swagger';
import { IsBoolean, IsIn, IsInt, IsNumber, IsString, IsUUID, Length, Max, Min } from 'class-validator';
import { IsInstant } from '../../../platform/http/is-instant';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';
import { SYSTEM_TEST_TASKS, type SystemTestTask } from '../../../core/tests/system-test';

// beyond what any such system holds, so that a slip of the key is told from a reading
const HIGHEST_BAR = 400;
const LONGEST_SECONDS = 86_400;

/**
 * A test, with the figures that belong to its task and no others:
 * `regulator-cycle-test` chargeSeconds, idleSeconds, and where known pumpDeliveryLPerMin, gasTemperatureC,
 * cutInBarGauge, cutOutBarGauge; `cut-in-cut-out-reading` cutInBarGauge, cutOutBarGauge;
 * `low-pressure-warning-test` warningBarGauge, or cameOn false; `anti-sink-hold-test` hours, and frontLossMm,
 * rearLossMm or both; `brake-reserve-test` applicationsUntilWarning, and where known startBarGauge;
 * `steering-regulator-check` result, with a note.
 */
export class CreateSystemTestDto {
  @IsIn(SYSTEM_TEST_TASKS)
  @ApiProperty({ enum: SYSTEM_TEST_TASKS })
  task!: SystemTestTask;

  /** When it was done, with the offset. @example 2026-11-20T09:30:00+00:00 */
  @IsInstant()
  @ApiProperty({ format: 'date-time' })
  doneAt!: string;

  /** From cut-in to cut-out, engine idling and nothing in use: the pump charges. */
  @MayBeAbsent()
  @IsNumber()
  @Min(0.1)
  @Max(LONGEST_SECONDS)
  chargeSeconds?: number;

  /** From cut-out to cut-in: the pump idles. */
  @MayBeAbsent()
  @IsNumber()
  @Min(0.1)
  @Max(LONGEST_SECONDS)
  idleSeconds?: number;

  /** What the pump gives at idling speed; without it a loss of gas and a leak cannot be told apart. */
  @MayBeAbsent()
  @IsNumber()
  @Min(0.01)
  @Max(100)
  pumpDeliveryLPerMin?: number;

  /** Of the gas in the main accumulator; left out, that of the surroundings, or 20. */
  @MayBeAbsent()
  @IsNumber()
  @Min(-100)
  @Max(300)
  gasTemperatureC?: number;

  /** Where the pump began to charge. */
  @MayBeAbsent()
  @IsNumber()
  @Min(0)
  @Max(HIGHEST_BAR)
  cutInBarGauge?: number;

  /** Where the pump stopped charging. */
  @MayBeAbsent()
  @IsNumber()
  @Min(0)
  @Max(HIGHEST_BAR)
  cutOutBarGauge?: number;

  /** Falling pressure at which the lamp came on. */
  @MayBeAbsent()
  @IsNumber()
  @Min(0)
  @Max(HIGHEST_BAR)
  warningBarGauge?: number;

  /** False where the lamp stayed dark. */
  @MayBeAbsent()
  @IsBoolean()
  cameOn?: boolean;

  /** How long the vehicle stood with the engine off. */
  @MayBeAbsent()
  @IsNumber()
  @Min(0.25)
  @Max(240)
  hours?: number;

  /** Ride height that was lost at the front. */
  @MayBeAbsent()
  @IsNumber()
  @Min(0)
  @Max(500)
  frontLossMm?: number;

  /** Ride height that was lost at the rear. */
  @MayBeAbsent()
  @IsNumber()
  @Min(0)
  @Max(500)
  rearLossMm?: number;

  /** The full application, pump stopped, at which the low-pressure warning came on; 0 where it was on before. */
  @MayBeAbsent()
  @IsInt()
  @Min(0)
  @Max(200)
  applicationsUntilWarning?: number;

  /** Stored pressure before the first application: it has to be cut-in, not cut-out. */
  @MayBeAbsent()
  @IsNumber()
  @Min(0)
  @Max(HIGHEST_BAR)
  startBarGauge?: number;

  /** As the technician states it: the maker's workshop manual rules. */
  @MayBeAbsent()
  @IsIn(['passed', 'failed'])
  @ApiProperty({ required: false, enum: ['passed', 'failed'] })
  result?: 'passed' | 'failed';

  /** Of the surroundings. */
  @MayBeNull()
  @IsNumber()
  @Min(-100)
  @Max(300)
  ambientTemperatureC?: number | null;

  /** Above sea level, where it matters to a gauge. */
  @MayBeNull()
  @IsNumber()
  @Min(-500)
  @Max(5_000)
  altitudeM?: number | null;

  /** The gauge that the pressures were read on. */
  @MayBeNull()
  @IsUUID()
  gaugeId?: string | null;

  /** Who did it. */
  @IsString()
  @Length(1, 200)
  doneBy!: string;

  @MayBeNull()
  @IsString()
  @Length(1, 2000)
  note?: string | null;

  /** The operator's own key, unique in the organisation. */
  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;
}

export class VoidSystemTestDto {
  /** Why it counts no more. */
  @IsString()
  @Length(1, 2000)
  reason!: string;
}
