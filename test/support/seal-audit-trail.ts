import { setTimeout as sleep } from 'node:timers/promises';
import { AuditSealingService } from '../../src/modules/audit-seals/audit-sealing.service';
import { AuditSealsService } from '../../src/modules/audit-seals/audit-seals.service';
import { systemPrincipal } from '../../src/platform/security/principal';
import type { TestApp } from './test-app';

/**
 * Seals so many entries of an organisation. What is settled depends on every transaction of the server, those of other
 * test files on databases of their own included, so it may take several goes.
 */
export async function sealEntries({ app }: TestApp, organisationId: string, count: number): Promise<void> {
  for (let sealed = 0; ;) {
    sealed += await app.get(AuditSealingService).seal(organisationId);
    if (sealed === count) return;
    if (sealed > count) throw new Error(`${sealed} entries were sealed instead of ${count}`);
    await sleep(20);
  }
}

/** Seals every entry of an organisation, and answers how many that were. */
export async function sealAllEntries(test: TestApp, organisationId: string): Promise<number> {
  const principal = systemPrincipal(organisationId, 'test');
  const { unsealed } = await test.app.get(AuditSealsService).head(principal);
  await sealEntries(test, organisationId, unsealed.entries);
  return unsealed.entries;
}
