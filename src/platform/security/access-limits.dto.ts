import { ApiProperty } from '@nestjs/swagger';
import { ArrayMaxSize, ArrayMinSize, ArrayUnique, IsArray, IsUUID } from 'class-validator';
import { MayBeNull } from '../http/optional-fields';

/** What a key or client is limited to. */
export class AccessLimitsDto {
  /** Limits it to these fleets; null or absent sees every fleet. */
  @MayBeNull()
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(200)
  @ArrayUnique()
  @IsUUID(undefined, { each: true })
  @ApiProperty({ required: false, type: [String], format: 'uuid', nullable: true, maxItems: 200 })
  fleetIds?: string[] | null;

  /** Limits it to these workshops; null or absent sees every workshop. */
  @MayBeNull()
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(200)
  @ArrayUnique()
  @IsUUID(undefined, { each: true })
  @ApiProperty({ required: false, type: [String], format: 'uuid', nullable: true, maxItems: 200 })
  workshopIds?: string[] | null;
}
