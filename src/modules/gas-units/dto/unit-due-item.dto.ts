import { ApiProperty } from '@nestjs/swagger';

/** A due item of a vehicle that a move brought about or did away with. */
export class UnitDueItemDto {
  key!: string;
  task!: string;
  title!: string;
  position!: string | null;
  /** Null where no date can be told. */
  @ApiProperty({ format: 'date', nullable: true, type: String })
  dueOn!: string | null;
}

/** What a step of moves meant for a vehicle. */
export class MovedVehicleDto {
  vehicleId!: string;
  registrationMark!: string;
  /** Due items that went. */
  @ApiProperty({ type: [UnitDueItemDto] })
  clears!: UnitDueItemDto[];
  /** Due items that came. */
  @ApiProperty({ type: [UnitDueItemDto] })
  raises!: UnitDueItemDto[];
  /** Not to be released to the road now. */
  onHold!: boolean;
}

/** A warning to be shown where the work can hurt someone. */
export class UnitCautionDto {
  /** @example release-pressure-first */
  code!: string;
  text!: string;
}
