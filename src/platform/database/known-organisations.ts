import { Injectable } from '@nestjs/common';
import { InjectDataSource } from '@nestjs/typeorm';
import { DataSource } from 'typeorm';

/** Which organisations there are, for background work that visits each in turn: their ids and nothing else. */
@Injectable()
export class KnownOrganisations {
  constructor(@InjectDataSource() private readonly dataSource: DataSource) {}

  async ids(): Promise<string[]> {
    const rows: { id: string }[] = await this.dataSource.query(
      'SELECT organisation_id AS id FROM app.known_organisations ORDER BY 1',
    );
    return rows.map(({ id }) => id);
  }
}
