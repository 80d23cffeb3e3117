import { ApiProperty } from '@nestjs/swagger';
import { GasUnitEventDto } from './gas-unit-event.dto';

/** A warning to be shown where the work can hurt someone, or with a figure. */
export class MeasuringCautionDto {
  /** @example nitrogen-only */
  code!: string;
  text!: string;
}

/** A due item that the event settled. */
export class ClearedUnitWorkDto {
  vehicleId!: string;
  key!: string;
  task!: string;
  title!: string;
  position!: string | null;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  dueOnBefore!: string | null;
  /** When it is due again; null where nothing more is owed or no date can be told. */
  @ApiProperty({ format: 'date', nullable: true, type: String })
  dueOnAfter!: string | null;
  /** False where it is settled for good. */
  comesBack!: boolean;
}

/** A due item that the event brought about, such as the same test again after one that failed. */
export class RaisedUnitWorkDto {
  vehicleId!: string;
  key!: string;
  task!: string;
  title!: string;
  position!: string | null;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  dueOn!: string | null;
}

/** A due item that stays the same piece of work, on another day: the forecast has moved. */
export class MovedUnitWorkDto {
  vehicleId!: string;
  key!: string;
  task!: string;
  title!: string;
  position!: string | null;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  dueOnBefore!: string | null;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  dueOnAfter!: string | null;
}

/** When the unit falls below its limit: in 10, 50 and 90 of 100 such cases by these days. */
export class ForecastInShortDto {
  limit20BarGauge!: number;
  /** Null where it is later than the forecast looks. */
  @ApiProperty({ format: 'date', nullable: true, type: String })
  earliestOn!: string | null;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  medianOn!: string | null;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  latestOn!: string | null;
}

export class RecordedGasUnitEventDto extends GasUnitEventDto {
  /** What deserves a second look, such as a temperature that looks like Fahrenheit. */
  warnings!: string[];
  /** What the temperature would be in °C, had a Fahrenheit thermometer been read; null where that is unlikely. */
  likelyFahrenheitReadingC!: number | null;
  /** How the precharge at 20 °C was worked out. */
  method!: string;
  /** The range in which the calculation holds. */
  validity!: string;
  @ApiProperty({ type: [MeasuringCautionDto] })
  cautions!: MeasuringCautionDto[];
  /** Without this event; null where nothing had been measured. */
  @ApiProperty({ type: ForecastInShortDto, nullable: true })
  forecastBefore!: ForecastInShortDto | null;
  @ApiProperty({ type: ForecastInShortDto, nullable: true })
  forecastAfter!: ForecastInShortDto | null;
  @ApiProperty({ type: [ClearedUnitWorkDto] })
  clears!: ClearedUnitWorkDto[];
  @ApiProperty({ type: [RaisedUnitWorkDto] })
  raises!: RaisedUnitWorkDto[];
  @ApiProperty({ type: [MovedUnitWorkDto] })
  moves!: MovedUnitWorkDto[];
}
