import { ApiProperty } from '@nestjs/swagger';
import type { HoldOverride } from '../hold-override.entity';
import { CautionDto } from './caution.dto';

/** A named person's dated decision that some reasons do not keep the vehicle off the road. */
export class HoldOverrideDto {
  id!: string;
  vehicleId!: string;
  /** The reasons that it lifts; any other still holds the vehicle. */
  reasonKeys!: string[];
  namedPerson!: string;
  statement!: string;
  @ApiProperty({ format: 'date' })
  fromOn!: string;
  /** Last day on which it counts. */
  @ApiProperty({ format: 'date' })
  untilOn!: string;
  recordedBy!: string;
  @ApiProperty({ format: 'date-time' })
  recordedAt!: string;
  /** Null unless somebody took it back. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  revokedAt!: string | null;
  revokedBy!: string | null;
  revision!: number;
}

export class HoldOverridePageDto {
  items!: HoldOverrideDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** An override as it is answered to whoever recorded it. */
export class RecordedOverrideDto extends HoldOverrideDto {
  /** Whose decision this is, and what this software cannot decide. */
  decision!: string;
  cautions!: CautionDto[];
}

export function toHoldOverrideDto(override: HoldOverride): HoldOverrideDto {
  return {
    id: override.id,
    vehicleId: override.vehicleId,
    reasonKeys: override.reasonKeys,
    namedPerson: override.namedPerson,
    statement: override.statement,
    fromOn: override.fromOn,
    untilOn: override.untilOn,
    recordedBy: override.recordedBy,
    recordedAt: override.recordedAt.toISOString(),
    revokedAt: override.revokedAt?.toISOString() ?? null,
    revokedBy: override.revokedBy,
    revision: override.revision,
  };
}

export function decisionOf({ namedPerson }: Pick<HoldOverride, 'namedPerson'>): string {
  return (
    `Letting this vehicle go is the decision of ${namedPerson}, not of this software, which only advises: ` +
    "the vehicle maker's manual, local law and a licensed person decide."
  );
}
