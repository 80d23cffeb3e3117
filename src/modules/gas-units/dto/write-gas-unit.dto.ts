import { ApiProperty } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import { IsObject, IsString, IsUUID, Length, ValidateNested } from 'class-validator';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { IsInstant } from '../../../platform/http/is-instant';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';
import { SerialNumberText } from './serial-number-text';
import { DestinationDto } from './unit-move.dto';

/** Where a new unit is, and since when. */
export class FirstPlaceDto extends DestinationDto {
  /** Left out, now. */
  @MayBeAbsent()
  @IsInstant()
  @ApiProperty({ required: false, format: 'date-time' })
  fromAt?: string;
}

export class CreateGasUnitDto {
  /** That of the vehicle, where it is fitted to one. */
  @IsUUID()
  fleetId!: string;

  @IsUUID()
  unitTypeId!: string;

  /** As it is stamped on the unit; unique among the units of its type. @example N7-20417 */
  @SerialNumberText()
  @IsString()
  @Length(1, 60)
  serialNumber!: string;

  @MayBeNull()
  @IsCalendarDate()
  @ApiProperty({ required: false, format: 'date', nullable: true, type: String })
  madeOn?: string | null;

  /** The operator's own key, unique in the organisation. */
  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;

  @MayBeNull()
  @IsString()
  @Length(1, 2000)
  note?: string | null;

  /** Left out, on the shelf since now, nobody knows whose. */
  @MayBeAbsent()
  @IsObject()
  @ValidateNested()
  @Type(() => FirstPlaceDto)
  @ApiProperty({ required: false, type: FirstPlaceDto })
  place?: FirstPlaceDto;

  /** Who put it there; left out, who records it. */
  @MayBeNull()
  @IsString()
  @Length(1, 200)
  movedBy?: string | null;
}

export class UpdateGasUnitDto {
  /** As it is stamped on the unit. */
  @MayBeAbsent()
  @SerialNumberText()
  @IsString()
  @Length(1, 60)
  serialNumber?: string;

  @MayBeNull()
  @IsCalendarDate()
  @ApiProperty({ required: false, format: 'date', nullable: true, type: String })
  madeOn?: string | null;

  @MayBeNull()
  @IsString()
  @Length(1, 2000)
  note?: string | null;

  /** The operator's own key, unique in the organisation. */
  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;

  /** Only while it is on the shelf; a fitted unit goes with its vehicle. */
  @MayBeAbsent()
  @IsUUID()
  fleetId?: string;
}
