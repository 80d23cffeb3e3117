import { ApiProperty } from '@nestjs/swagger';
import { IsIn, IsNumber, IsString, IsUUID, Length, Max, Min } from 'class-validator';
import { IsInstant } from '../../../platform/http/is-instant';
import { MayBeNull } from '../../../platform/http/optional-fields';

const NITROGEN_ONLY =
  'gas must be nitrogen: charge gas units with dry nitrogen only, never with oxygen or air, which can explode with the ' +
  'fluid; bleed the unit and charge it anew if anything else went in';

// The bounds here only keep nonsense out: the gas calculations know the true range, and explain it.
export class RecordPrechargeTestDto {
  /** When it was read, with the offset; not in the future. @example 2026-03-29T09:30:00+01:00 */
  @IsInstant()
  @ApiProperty({ format: 'date-time' })
  doneAt!: string;

  /** As the gauge showed it, with no fluid pressure on the other side; 0.5 to 250 bar absolute. @example 46.5 */
  @IsNumber()
  @Min(-1000)
  @Max(1_000_000)
  pressureBarGauge!: number;

  /** Of the gas, once unit and surroundings agree; -40 to 80 °C. @example 8 */
  @IsNumber()
  @Min(-1000)
  @Max(1_000)
  gasTemperatureC!: number;

  /** Absolute pressure of the air around the gauge; left out, that of the altitude or at sea level. @example 0.955 */
  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(2_000)
  ambientBar?: number | null;

  /** Height above sea level in place of the ambient pressure. @example 480 */
  @MayBeNull()
  @IsNumber()
  @Min(-10000)
  @Max(100_000)
  altitudeM?: number | null;

  /** The gauge that it was read on. */
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

/** The pressure and the temperature are those at the end of the charge. */
export class RecordChargeDto extends RecordPrechargeTestDto {
  /** Dry nitrogen, and nothing else. */
  @IsIn(['nitrogen'], { message: NITROGEN_ONLY })
  @ApiProperty({ enum: ['nitrogen'] })
  gas!: 'nitrogen';
}

export class VoidGasUnitEventDto {
  /** Why it counts no more. */
  @IsString()
  @Length(1, 2000)
  reason!: string;
}
