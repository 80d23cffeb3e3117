import { Injectable } from '@nestjs/common';
import { InjectDataSource } from '@nestjs/typeorm';
import { DataSource } from 'typeorm';

/** Imports of all organisations that have not come to their end. */
@Injectable()
export class ImportBacklog {
  constructor(@InjectDataSource() private readonly dataSource: DataSource) {}

  async open(): Promise<{ waiting: number; running: number; oldestAt: Date | null }> {
    const [row] = await this.dataSource.query<[{ waiting: string; running: string; oldestAt: Date | null }]>(
      'SELECT waiting, running, oldest_at AS "oldestAt" FROM app.open_imports()',
    );
    return { waiting: Number(row.waiting), running: Number(row.running), oldestAt: row.oldestAt };
  }
}
