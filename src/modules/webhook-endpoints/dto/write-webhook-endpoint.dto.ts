import { applyDecorators } from '@nestjs/common';
import { ApiProperty } from '@nestjs/swagger';
import {
  ArrayMaxSize,
  ArrayMinSize,
  ArrayUnique,
  IsArray,
  IsBoolean,
  IsIn,
  IsInt,
  IsString,
  Length,
  Max,
  Min,
} from 'class-validator';
import { IsInstant } from '../../../platform/http/is-instant';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';
import { AccessLimitsDto } from '../../../platform/security/access-limits.dto';
import { WEBHOOK_EVENT_TYPES } from '../webhook-event-types';

/** Types of events that an endpoint can be told of; null or absent is all of them. */
const EventTypes = (): PropertyDecorator =>
  applyDecorators(
    MayBeNull(),
    IsArray(),
    ArrayMinSize(1),
    ArrayMaxSize(WEBHOOK_EVENT_TYPES.length),
    ArrayUnique(),
    IsIn(WEBHOOK_EVENT_TYPES, { each: true }),
    ApiProperty({
      required: false,
      enum: WEBHOOK_EVENT_TYPES,
      isArray: true,
      nullable: true,
      minItems: 1,
      maxItems: WEBHOOK_EVENT_TYPES.length,
    }),
  );

export class CreateWebhookEndpointDto extends AccessLimitsDto {
  /** Where messages are sent: an https address that the public internet reaches. @example https://dealer.example/precharge */
  @IsString()
  @Length(1, 2000)
  url!: string;

  /** @example workshop system of the dealer */
  @MayBeNull()
  @IsString()
  @Length(1, 200)
  @ApiProperty({ required: false, type: String, nullable: true, minLength: 1, maxLength: 200 })
  description?: string | null;

  /** Types of events that it is told of; null or absent is all of them, those that come later included. */
  @EventTypes()
  eventTypes?: string[] | null;

  /** False sends nothing until it is set to true; events since are kept for it as long as the change feed keeps them. */
  @MayBeAbsent()
  @IsBoolean()
  @ApiProperty({ required: false, type: Boolean, default: true })
  enabled?: boolean;
}

export class UpdateWebhookEndpointDto {
  /** A new address is asked for its consent before anything else is sent there. */
  @MayBeAbsent()
  @IsString()
  @Length(1, 2000)
  url?: string;

  @MayBeNull()
  @IsString()
  @Length(1, 200)
  @ApiProperty({ required: false, type: String, nullable: true, minLength: 1, maxLength: 200 })
  description?: string | null;

  /** For events that are recorded from now on. */
  @EventTypes()
  eventTypes?: string[] | null;

  /** False pauses; true goes on where it stopped, also after deliveries were ended because nobody took them. */
  @MayBeAbsent()
  @IsBoolean()
  enabled?: boolean;
}

export class RotateWebhookSecretDto {
  /** For so long messages carry a signature by the old secret beside that by the new one. */
  @MayBeAbsent()
  @IsInt()
  @Min(0)
  @Max(168)
  @ApiProperty({ required: false, type: 'integer', minimum: 0, maximum: 168, default: 24 })
  overlapHours?: number;
}

export class ReplayWebhooksDto {
  /** Everything that was recorded since this moment, as far back as the change feed keeps it, is sent again in order. */
  @IsInstant()
  @ApiProperty({ format: 'date-time' })
  since!: string;
}
