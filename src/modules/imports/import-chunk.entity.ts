import { Column, Entity, ForeignKey, PrimaryColumn } from 'typeorm';

/** A piece of an uploaded file, kept until the import has finished. */
@Entity('import_chunks')
@ForeignKey('Import', ['organisationId', 'importId'], ['organisationId', 'id'], {
  name: 'import_chunks_import_fkey',
  onDelete: 'CASCADE',
})
export class ImportChunk {
  @PrimaryColumn('uuid')
  organisationId!: string;

  @PrimaryColumn('uuid')
  importId!: string;

  @PrimaryColumn('integer')
  chunkNumber!: number;

  @Column('bytea')
  bytes!: Buffer;
}
