import { Injectable } from '@nestjs/common';
import { refuseKeyOfSomeFleets, refuseKeyOfSomeWorkshops } from '../../platform/database/fleet-scope';
import { Transactions, type Tx } from '../../platform/database/transactions';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { AuditChecksService } from './audit-checks.service';
import { AuditSealsRepository } from './audit-seals.repository';
import { toAuditCheckDto, type AuditCheckDto, type CheckAuditTrailDto } from './dto/audit-check.dto';
import { toAuditHeadDto, type AuditHeadDto } from './dto/audit-head.dto';
import { fromHeadDto } from './dto/head.dto';

// so many are computed again well within the time of a request
const ENTRIES_PER_CHECK = 5_000;

const CONCERN = 'the chain of the audit trail is that of the whole organisation';

@Injectable()
export class AuditSealsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly seals: AuditSealsRepository,
    private readonly checks: AuditChecksService,
  ) {}

  getHead({ principal }: RequestContext): Promise<AuditHeadDto> {
    return this.head(principal);
  }

  head(principal: Principal): Promise<AuditHeadDto> {
    return this.transactions.read(principal, async (tx) => {
      await refuseLimitedKey(tx);
      const unsealed = await this.seals.unsealed(tx);
      return toAuditHeadDto(principal.organisationId, await this.seals.head(tx), unsealed);
    });
  }

  async check({ principal }: RequestContext, { after, heads }: CheckAuditTrailDto): Promise<AuditCheckDto> {
    await this.transactions.read(principal, refuseLimitedKey);
    const check = await this.checks.check(principal, {
      ...(after === undefined ? {} : { after: fromHeadDto(after) }),
      heads: heads?.map(fromHeadDto) ?? [],
      limit: ENTRIES_PER_CHECK,
    });
    return toAuditCheckDto(check);
  }
}

async function refuseLimitedKey(tx: Tx): Promise<void> {
  await refuseKeyOfSomeFleets(tx, CONCERN);
  await refuseKeyOfSomeWorkshops(tx, CONCERN);
}
