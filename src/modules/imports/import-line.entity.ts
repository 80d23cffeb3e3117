import { Check, Column, Entity, ForeignKey, PrimaryColumn } from 'typeorm';
import type { BulkOutcome } from '../../platform/bulk/bulk-result';
import type { FieldError } from '../../platform/errors/coded-error';

@Entity('import_lines')
@Check(
  'import_lines_outcome_check',
  `outcome IN ('created', 'updated', 'unchanged', 'quarantined', 'rejected')`,
)
@ForeignKey('Import', ['organisationId', 'importId'], ['organisationId', 'id'], {
  name: 'import_lines_import_fkey',
  onDelete: 'CASCADE',
})
export class ImportLine {
  @PrimaryColumn('uuid')
  organisationId!: string;

  @PrimaryColumn('uuid')
  importId!: string;

  /** line of the file on which the record starts, its first line being 1 */
  @PrimaryColumn('integer')
  lineNumber!: number;

  @Column('text')
  outcome!: BulkOutcome;

  @Column('uuid', { nullable: true })
  subjectId!: string | null;

  @Column('jsonb', { nullable: true })
  errors!: FieldError[] | null;

  /** the line as it was handed over, for the file of rejects */
  @Column('text', { nullable: true })
  raw!: string | null;
}
