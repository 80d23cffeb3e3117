import { ApiProperty } from '@nestjs/swagger';
import { DUE_STATES, type DueState } from '../../../core/due/state';
import { MOVES, type Move } from '../item-changes';

export class PreviewCountsDto {
  /** Vehicles that follow the programme. */
  @ApiProperty({ type: 'integer' })
  vehicles!: number;
  /** Items with the same due date and window. */
  @ApiProperty({ type: 'integer' })
  unchanged!: number;
  /** Same due date, another window. */
  @ApiProperty({ type: 'integer' })
  windowMoved!: number;
  @ApiProperty({ type: 'integer' })
  earlier!: number;
  @ApiProperty({ type: 'integer' })
  later!: number;
  /** Items that are not owed now. */
  @ApiProperty({ type: 'integer' })
  new!: number;
  /** Items that would no longer be owed. */
  @ApiProperty({ type: 'integer' })
  gone!: number;
  @ApiProperty({ type: 'integer' })
  becameUndetermined!: number;
  @ApiProperty({ type: 'integer' })
  becameDetermined!: number;
  /** Items that would be overdue today and are not now. */
  @ApiProperty({ type: 'integer' })
  newlyOverdue!: number;
  /** Items that are overdue now and would no longer be. */
  @ApiProperty({ type: 'integer' })
  noLongerOverdue!: number;
  /** Vehicles that would have an overdue safety-critical item today, and have none now. */
  @ApiProperty({ type: 'integer' })
  vehiclesNewlyOnSafetyHold!: number;
  /** Vehicles that have an overdue safety-critical item now, and would have none. */
  @ApiProperty({ type: 'integer' })
  vehiclesOffSafetyHold!: number;
}

/** An item that publishing would move. */
export class MovedItemDto {
  vehicleId!: string;
  registrationMark!: string;
  fleetNumber!: string | null;
  key!: string;
  task!: string;
  title!: string;
  position!: string | null;
  safetyCritical!: boolean;
  @ApiProperty({ enum: MOVES })
  move!: Move;
  /** Days later (earlier: negative); null where there is no date before or after. */
  @ApiProperty({ type: 'integer', nullable: true, minimum: -150_000, maximum: 150_000 })
  movedDays!: number | null;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  dueOnBefore!: string | null;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  dueOnAfter!: string | null;
  /** Today at the vehicle's depot; null where the item is not owed. */
  @ApiProperty({ enum: DUE_STATES, nullable: true, type: String })
  stateBefore!: DueState | null;
  @ApiProperty({ enum: DUE_STATES, nullable: true, type: String })
  stateAfter!: DueState | null;
}

/** What publishing the version today would move. Nothing is stored. */
export class ProgrammePreviewDto {
  programmeId!: string;
  versionId!: string;
  @ApiProperty({ type: PreviewCountsDto })
  counts!: PreviewCountsDto;
  /** The largest moves first; items without a date before or after come last. */
  @ApiProperty({ type: [MovedItemDto], maxItems: 500 })
  moved!: MovedItemDto[];
  /** How many items moved altogether. */
  @ApiProperty({ type: 'integer' })
  movedCount!: number;
}
