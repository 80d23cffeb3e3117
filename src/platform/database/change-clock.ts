import { Injectable } from '@nestjs/common';
import { InjectDataSource } from '@nestjs/typeorm';
import { DataSource } from 'typeorm';

/** Where the order of changes stands, whoever made them. */
@Injectable()
export class ChangeClock {
  constructor(@InjectDataSource() private readonly dataSource: DataSource) {}

  /** Moves whenever changes may have become readable that were not before. */
  async settledBefore(): Promise<string> {
    const [row] = await this.dataSource.query<[{ settled: string }]>(
      'SELECT app.settled_before() AS settled',
    );
    return row.settled;
  }

  /** Events of all organisations that are recorded and that no reader may see yet. */
  async unsettled(): Promise<{ events: number; oldestAt: Date | null }> {
    const [row] = await this.dataSource.query<[{ events: string; oldestAt: Date | null }]>(
      'SELECT events, oldest_at AS "oldestAt" FROM app.unsettled_events()',
    );
    return { events: Number(row.events), oldestAt: row.oldestAt };
  }
}
