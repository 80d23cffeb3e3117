import { Inject, Injectable } from '@nestjs/common';
import { Clock } from '../../platform/clock/clock';
import type { Config } from '../../platform/config/config';
import { CONFIG } from '../../platform/config/config.module';
import { Transactions } from '../../platform/database/transactions';
import { systemPrincipal } from '../../platform/security/principal';
import { ChangesRepository } from './changes.repository';

const BATCH = 5_000;
const DAY_MS = 86_400_000;

/** Deletes events that are older than they are kept, and remembers where the feed begins since. */
@Injectable()
export class EventRetentionService {
  constructor(
    private readonly transactions: Transactions,
    private readonly changes: ChangesRepository,
    private readonly clock: Clock,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  /** Answers how many events were deleted. */
  async forget(organisationId: string): Promise<number> {
    const principal = systemPrincipal(organisationId, 'retention of events');
    const before = new Date(this.clock.now() - this.config.eventRetentionDays * DAY_MS);
    await this.transactions.run(principal, (tx) => this.changes.mark(tx, organisationId));
    for (let total = 0; ;) {
      const forgotten = await this.transactions.run(principal, (tx) =>
        this.changes.forget(tx, before, BATCH),
      );
      total += forgotten;
      if (forgotten < BATCH) return total;
    }
  }
}
