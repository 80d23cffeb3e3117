import { Injectable } from '@nestjs/common';
import { InjectDataSource } from '@nestjs/typeorm';
import { DataSource } from 'typeorm';

/** Every organisation by its id, for background work that visits each: row security shows one at a time. */
@Injectable()
export class Tenants {
  constructor(@InjectDataSource() private readonly dataSource: DataSource) {}

  async ids(): Promise<string[]> {
    const rows = await this.dataSource.query<{ id: string }[]>(
      'SELECT organisation_id AS id FROM app.tenants ORDER BY organisation_id',
    );
    return rows.map(({ id }) => id);
  }
}
