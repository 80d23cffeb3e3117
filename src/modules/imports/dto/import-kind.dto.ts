import { ApiProperty } from '@nestjs/swagger';
import { roles, type Role } from '../../../platform/security/role';
import {
  importColumnTypes,
  importKindNames,
  type ImportColumnType,
  type ImportKindName,
} from '../import-kind';

export class ImportColumnDto {
  name!: string;
  /** `nested` is made of several parts: NDJSON alone has it. */
  @ApiProperty({ enum: importColumnTypes })
  type!: ImportColumnType;
  /** Whether every line needs it. */
  required!: boolean;
}

/** What a file of one kind may have. */
export class ImportKindDto {
  @ApiProperty({ enum: importKindNames })
  kind!: ImportKindName;
  /** Who may hand such a file over. */
  @ApiProperty({ enum: roles, isArray: true })
  roles!: Role[];
  /** Columns of CSV, fields of NDJSON. */
  columns!: ImportColumnDto[];
}

export class ImportKindsDto {
  /** In the order in which files are handed over, since each may name only what is on file. */
  items!: ImportKindDto[];
}
