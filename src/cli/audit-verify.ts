import { parseArgs } from 'node:util';
import { AuditChecksService, type ChainCheck } from '../modules/audit-seals/audit-checks.service';
import { Tenants } from '../platform/database/tenants';
import { systemPrincipal } from '../platform/security/principal';
import { reportAndExit } from '../process-life';
import { readNotedHeads } from './noted-heads';
import { withApplication } from './with-application';

/**
 * Computes the audit trail's chains again from the entries: `npm run audit:verify [-- --organisation <id>]
 * [--heads <file>]`. Names the first bad entry of each and ends with 1 when there is one.
 */
async function main(): Promise<void> {
  const { values } = parseArgs({ options: { organisation: { type: 'string' }, heads: { type: 'string' } } });
  const noted = values.heads === undefined ? new Map<string, never>() : await readNotedHeads(values.heads);
  const inOrder = await withApplication(async (app) => {
    const existing = await app.get(Tenants).ids();
    const wanted =
      values.organisation === undefined
        ? [...new Set([...existing, ...noted.keys()])]
        : [values.organisation];
    let allInOrder = true;
    for (const organisationId of wanted) {
      if (!existing.includes(organisationId)) {
        console.log(`${organisationId}: FAULT: there is no such organisation (any more).`);
        allInOrder = false;
        continue;
      }
      const check = await app
        .get(AuditChecksService)
        .check(systemPrincipal(organisationId, 'check of the audit trail'), {
          heads: noted.get(organisationId) ?? [],
        });
      console.log(`${organisationId}: ${inWords(check)}`);
      allInOrder &&= check.fault === null;
    }
    return allInOrder;
  });
  if (!inOrder) process.exitCode = 1;
}

function inWords({ entriesChecked, checkedUpTo, fault, unsealed }: ChainCheck): string {
  if (fault !== null) return `FAULT (${fault.kind}): ${fault.detail}`;
  const younger =
    unsealed.entries === 0
      ? ''
      : `; ${unsealed.entries} entries since ${unsealed.oldestRecordedAt ?? ''} are not sealed yet, so nothing vouches for them`;
  return `${entriesChecked} entries in order up to ${checkedUpTo.hash.toString('hex')}${younger}.`;
}

main().catch(reportAndExit);
