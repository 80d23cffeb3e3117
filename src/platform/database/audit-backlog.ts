import { Injectable } from '@nestjs/common';
import { InjectDataSource } from '@nestjs/typeorm';
import { DataSource } from 'typeorm';

/** How much of the audit trails of all organisations is not sealed yet. */
@Injectable()
export class AuditBacklog {
  constructor(@InjectDataSource() private readonly dataSource: DataSource) {}

  async unsealed(): Promise<{ entries: number; oldestAt: Date | null }> {
    const [row] = await this.dataSource.query<[{ entries: string; oldestAt: Date | null }]>(
      'SELECT entries, oldest_at AS "oldestAt" FROM app.unsealed_entries()',
    );
    return { entries: Number(row.entries), oldestAt: row.oldestAt };
  }
}
