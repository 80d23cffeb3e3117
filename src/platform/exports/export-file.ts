import { StreamableFile } from '@nestjs/common';
import { parameterError } from '../errors/coded-error';
import { writeCsv } from '../csv/write-csv';
import { CSV, NDJSON } from './declare-exports';
import { cellsOf, type ListColumn } from './list-columns';
import { Spool, SpoolFull } from './spool';

export type ExportFormat = typeof CSV | typeof NDJSON;

const SILENCE_MS = 60_000;

const TYPES: Record<ExportFormat, { type: string; ending: string }> = {
  [CSV]: { type: 'text/csv; charset=utf-8; header=present', ending: 'csv' },
  [NDJSON]: { type: 'application/x-ndjson; charset=utf-8', ending: 'ndjson' },
};

/** A list on its way into a file: CSV with a header, or a line of JSON for each item. */
export class ExportFile {
  private added = 0;

  private constructor(
    private readonly format: ExportFormat,
    private readonly columns: readonly ListColumn[],
    private readonly spool: Spool,
  ) {}

  static async open(
    format: ExportFormat,
    columns: readonly ListColumn[],
    limitBytes: number,
  ): Promise<ExportFile> {
    const file = new ExportFile(format, columns, await Spool.open(limitBytes));
    if (format === CSV) await file.write(writeCsv([columns.map(({ name }) => name)]));
    return file;
  }

  get records(): number {
    return this.added;
  }

  /** @throws CodedError `validation-failed` where the file would grow beyond its limit */
  async add(items: readonly unknown[]): Promise<void> {
    await this.write(
      this.format === CSV
        ? writeCsv(items.map((item) => cellsOf(item, this.columns)))
        : items.map((item) => `${JSON.stringify(item)}\n`).join(''),
    );
    this.added += items.length;
  }

  /** RFC 9530, section 3 */
  digest(): string {
    return `sha-256=:${this.spool.sha256()}:`;
  }

  toSend(name: string): StreamableFile {
    const { type, ending } = TYPES[this.format];
    return new StreamableFile(this.spool.read(SILENCE_MS), {
      type,
      disposition: `attachment; filename="${name}.${ending}"`,
      length: this.spool.bytes,
    });
  }

  discard(): Promise<void> {
    return this.spool.discard();
  }

  private async write(text: string): Promise<void> {
    try {
      await this.spool.write(text);
    } catch (error) {
      if (!(error instanceof SpoolFull)) throw error;
      throw parameterError(
        'Accept',
        'The export would be larger than this server makes.',
        'ask for less at a time, by a filter, or for application/json page by page',
      );
    }
  }
}
