import { Injectable } from '@nestjs/common';
import { Tenants } from '../../platform/database/tenants';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { Metrics } from '../../platform/observability/metrics';
import { systemPrincipal } from '../../platform/security/principal';
import { appendToChain } from './audit-chain';
import { AuditSealsRepository } from './audit-seals.repository';

// few enough that hashing them holds up nothing else in the process
const BATCH = 200;

/**
 * Appends entries of the audit trail to their organisation's chain, a little after they were written: so that writers
 * never wait for each other, as they would if each had to know the hash before its own.
 */
@Injectable()
export class AuditSealingService {
  constructor(
    private readonly transactions: Transactions,
    private readonly seals: AuditSealsRepository,
    private readonly tenants: Tenants,
    private readonly metrics: Metrics,
  ) {}

  /** Every organisation in turn; one that cannot be sealed is told of after the others had their turn. */
  async sealAll(): Promise<void> {
    const failures: unknown[] = [];
    for (const organisationId of await this.tenants.ids()) {
      await this.seal(organisationId).catch((error: unknown) => failures.push(error));
    }
    if (failures.length > 0) throw new AggregateError(failures, 'audit trails could not be sealed');
  }

  /** Seals what is settled, unless another process is at it, and answers how many entries. */
  async seal(organisationId: string): Promise<number> {
    const principal = systemPrincipal(organisationId, 'sealing of the audit trail');
    for (let sealed = 0; ;) {
      const count = await this.transactions.run(principal, (tx) => this.sealBatch(tx, organisationId));
      this.metrics.sealedAuditEntries.inc(count);
      sealed += count;
      if (count < BATCH) return sealed;
    }
  }

  private async sealBatch(tx: Tx, organisationId: string): Promise<number> {
    if (!(await this.seals.claimChain(tx, organisationId))) return 0;
    const entries = await this.seals.nextToSeal(tx, await this.seals.lastSealed(tx), BATCH);
    if (entries.length === 0) return 0;
    await this.seals.append(tx, organisationId, appendToChain(await this.seals.head(tx), entries));
    return entries.length;
  }
}
