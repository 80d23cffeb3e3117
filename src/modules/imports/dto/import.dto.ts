import { ApiProperty } from '@nestjs/swagger';
import { bulkOutcomes, type BulkOutcome } from '../../../platform/bulk/bulk-result';
import type { FieldError } from '../../../platform/errors/coded-error';
import { importFormatNames, type ImportFormatName } from '../import-formats';
import { importKindNames, type ImportKindName } from '../import-kind';
import type { ImportLine } from '../import-line.entity';
import { importStates, type Import, type ImportState } from '../import.entity';

/** A file handed over, and how far it has been worked through. */
export class ImportDto {
  id!: string;
  @ApiProperty({ enum: importKindNames })
  kind!: ImportKindName;
  @ApiProperty({ enum: importFormatNames })
  format!: ImportFormatName;
  fileName!: string | null;
  /** Tried out: reported line by line, nothing stored. */
  dryRun!: boolean;
  @ApiProperty({ enum: importStates })
  state!: ImportState;
  /** Why the file as a whole could not be worked through. */
  failure!: string | null;
  @ApiProperty({ type: 'integer', minimum: 0, description: 'Size of the file.' })
  byteCount!: number;
  @ApiProperty({ type: 'integer', minimum: 0, description: 'How much of it has been worked through.' })
  bytesRead!: number;
  @ApiProperty({
    type: 'integer',
    minimum: 0,
    description:
      'How many lines of the file have been worked through, a header and empty lines included. Within a stretch of ' +
      '20,000 they are taken vehicle by vehicle, not in the order of the file.',
  })
  linesRead!: number;
  @ApiProperty({ type: 'integer', minimum: 0 })
  linesCreated!: number;
  @ApiProperty({ type: 'integer', minimum: 0 })
  linesUpdated!: number;
  @ApiProperty({ type: 'integer', minimum: 0, description: 'Lines that said what was known already.' })
  linesUnchanged!: number;
  @ApiProperty({ type: 'integer', minimum: 0, description: 'Lines that could not be used; see the rejects.' })
  linesRejected!: number;
  createdBy!: string;
  createdAt!: string;
  finishedAt!: string | null;
  revision!: number;
}

export class ImportPageDto {
  items!: ImportDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export class FieldErrorDto {
  /** Column of the file, or field of the object, as a pointer. */
  pointer?: string;
  parameter?: string;
  detail!: string;
  remedy!: string;
}

/** What became of one line. */
export class ImportLineDto {
  @ApiProperty({ type: 'integer', minimum: 1, description: 'Line of the file, its first being line 1.' })
  lineNumber!: number;
  @ApiProperty({ enum: bulkOutcomes })
  outcome!: BulkOutcome;
  /** The record that was created, changed or found. */
  subjectId!: string | null;
  @ApiProperty({ type: [FieldErrorDto] })
  errors!: FieldError[];
}

export class ImportLinePageDto {
  items!: ImportLineDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export function toImportDto(record: Import): ImportDto {
  return {
    id: record.id,
    kind: record.kind,
    format: record.format,
    fileName: record.fileName,
    dryRun: record.dryRun,
    state: record.state,
    failure: record.failure,
    byteCount: Number(record.byteCount),
    bytesRead: Number(record.bytesRead),
    linesRead: record.linesRead,
    linesCreated: record.linesCreated,
    linesUpdated: record.linesUpdated,
    linesUnchanged: record.linesUnchanged,
    linesRejected: record.linesRejected,
    createdBy: record.createdBy,
    createdAt: record.createdAt.toISOString(),
    finishedAt: record.finishedAt?.toISOString() ?? null,
    revision: record.revision,
  };
}

export function toImportLineDto({ lineNumber, outcome, subjectId, errors }: ImportLine): ImportLineDto {
  return { lineNumber, outcome, subjectId, errors: errors ?? [] };
}
