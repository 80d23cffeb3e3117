import { Injectable } from '@nestjs/common';
import type { Tx } from '../../platform/database/transactions';
import { ChangesRepository } from './changes.repository';
import { toChangeDto, type ChangeDto } from './dto/change.dto';

/** Changes for whoever tells of them in another way than by the feed, in the same words. */
@Injectable()
export class ToldChangesService {
  constructor(private readonly changes: ChangesRepository) {}

  /** Some changes by their ids, as far as they are kept and the transaction may know of them. */
  async told(tx: Tx, organisationId: string, ids: readonly string[]): Promise<Map<string, ChangeDto>> {
    const rows = await this.changes.find(tx, ids);
    return new Map(rows.map((row) => [row.id, toChangeDto(organisationId, row)]));
  }
}
