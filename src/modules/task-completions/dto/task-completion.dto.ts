import { ApiProperty } from '@nestjs/swagger';
import type { TaskCompletion } from '../task-completion.entity';

/** Work that was done. */
export class TaskCompletionDto {
  id!: string;
  vehicleId!: string;
  /** @example fluid-change */
  task!: string;
  /** Where, for work on one gas unit. */
  position!: string | null;
  @ApiProperty({ format: 'date' })
  doneOn!: string;
  /** A test that `failed` settles nothing: it is owed again. */
  @ApiProperty({ enum: ['done', 'failed'] })
  outcome!: 'done' | 'failed';
  /** As the instrument showed it. */
  odometerValue!: number | null;
  @ApiProperty({ enum: ['km', 'mi'], nullable: true, type: String })
  odometerUnit!: 'km' | 'mi' | null;
  engineHours!: number | null;
  doneBy!: string | null;
  note!: string | null;
  /** The operator's own key. */
  externalKey!: string | null;
  @ApiProperty({ format: 'date-time' })
  recordedAt!: string;
  /** Since then it counts no more. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  voidedAt!: string | null;
  voidedBy!: string | null;
  voidReason!: string | null;
  revision!: number;
}

export class TaskCompletionPageDto {
  items!: TaskCompletionDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** A due item that the work settled. */
export class SettledItemDto {
  key!: string;
  task!: string;
  title!: string;
  position!: string | null;
  /** When it was due; null where that could not be told. */
  @ApiProperty({ format: 'date', nullable: true, type: String })
  dueOnBefore!: string | null;
  /** When it is due again; null where nothing more is owed or no date can be told. */
  @ApiProperty({ format: 'date', nullable: true, type: String })
  dueOnAfter!: string | null;
  /** False where the work settled it for good. */
  comesBack!: boolean;
}

/** A due item that the work brought about, such as a check after it. */
export class RaisedItemDto {
  key!: string;
  task!: string;
  title!: string;
  position!: string | null;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  dueOn!: string | null;
}

export class RecordedTaskCompletionDto extends TaskCompletionDto {
  @ApiProperty({ type: [SettledItemDto] })
  clears!: SettledItemDto[];
  @ApiProperty({ type: [RaisedItemDto] })
  raises!: RaisedItemDto[];
  /** What deserves a second look, such as an odometer that contradicts the readings. */
  warnings!: string[];
}

export function toTaskCompletionDto(completion: TaskCompletion): TaskCompletionDto {
  return {
    id: completion.id,
    vehicleId: completion.vehicleId,
    task: completion.task,
    position: completion.position,
    doneOn: completion.doneOn,
    outcome: completion.outcome,
    odometerValue: completion.odometerValue,
    odometerUnit: completion.odometerUnit,
    engineHours: completion.engineHours,
    doneBy: completion.doneBy,
    note: completion.note,
    externalKey: completion.externalKey,
    recordedAt: completion.recordedAt.toISOString(),
    voidedAt: completion.voidedAt?.toISOString() ?? null,
    voidedBy: completion.voidedBy,
    voidReason: completion.voidReason,
    revision: completion.revision,
  };
}
