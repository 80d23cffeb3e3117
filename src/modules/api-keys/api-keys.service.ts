import { Injectable } from '@nestjs/common';
import { parseInstant } from '../../core/shared/instant';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import { checkAccessLimits } from '../../platform/database/access-limits';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import { formatApiKey, newSecret, sha256 } from '../../platform/security/api-key-token';
import type { Principal } from '../../platform/security/principal';
import { shownOnce } from '../../platform/security/shown-once';
import type { ApiKey } from './api-key.entity';
import { expiresInThePast, lastAdministrator, noLongerAccepted } from './api-keys.errors';
import { ApiKeysRepository } from './api-keys.repository';
import type { ListApiKeysQueryDto } from './dto/api-key-query.dto';
import { toApiKeyDto, type ApiKeyDto, type NewApiKeyDto, type RotatedApiKeyDto } from './dto/api-key.dto';
import type { CreateApiKeyDto, RotateApiKeyDto } from './dto/write-api-key.dto';

const MS_PER_HOUR = 3_600_000;

@Injectable()
export class ApiKeysService {
  constructor(
    private readonly transactions: Transactions,
    private readonly keys: ApiKeysRepository,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  list({ principal }: RequestContext, query: ListApiKeysQueryDto): Promise<Page<ApiKeyDto>> {
    const { limit = 50, cursor, includeRevoked = false } = query;
    const bound = { list: 'api-keys', organisationId: principal.organisationId, includeRevoked };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const seen = after === null ? null : String(after[0]);
      const rows = await this.keys.list(tx, includeRevoked, seen, limit);
      return this.cursors.page(rows, limit, bound, ({ id }) => [id], toApiKeyDto);
    });
  }

  get({ principal }: RequestContext, apiKeyId: string): Promise<ApiKeyDto> {
    return this.transactions.read(principal, async (tx) => {
      const key = await this.keys.find(tx, apiKeyId);
      if (key === null) throw notFound('key', apiKeyId);
      return toApiKeyDto(key);
    });
  }

  async create(context: RequestContext, body: CreateApiKeyDto): Promise<NewApiKeyDto> {
    const { principal } = context;
    const { name, role, fleetIds = null, workshopIds = null, expiresAt = null } = body;
    const { answer, secret } = await shownOnce('id', (show) =>
      this.transactions.write(context, async (tx): Promise<ApiKeyDto> => {
        await checkAccessLimits(tx, { fleetIds, workshopIds });
        const expires = expiresAt === null ? null : new Date(parseInstant(expiresAt, 'expiresAt'));
        if (expires !== null && expires <= (await this.keys.now(tx))) throw expiresInThePast(expiresAt ?? '');
        return this.make(tx, principal, { name, role, fleetIds, workshopIds, expiresAt: expires }, show);
      }),
    );
    return { ...answer, key: secret };
  }

  async rotate(
    context: RequestContext,
    apiKeyId: string,
    { overlapHours = 24 }: RotateApiKeyDto,
  ): Promise<RotatedApiKeyDto> {
    const { principal } = context;
    const { answer, secret } = await shownOnce('id', (show) =>
      this.transactions.write(context, async (tx) => {
        const old = await this.keys.lock(tx, apiKeyId);
        if (old === null) throw notFound('key', apiKeyId);
        const now = await this.keys.now(tx);
        if (old.revokedAt !== null) throw noLongerAccepted('revoked');
        if (old.expiresAt !== null && old.expiresAt <= now) throw noLongerAccepted('expired');
        const { name, role, fleetIds, workshopIds, expiresAt } = old;
        const made = await this.make(tx, principal, { name, role, fleetIds, workshopIds, expiresAt }, show);
        const overlapEnds = new Date(now.getTime() + overlapHours * MS_PER_HOUR);
        const ends = expiresAt !== null && expiresAt < overlapEnds ? expiresAt : overlapEnds;
        await this.change(tx, principal, 'rotated', old, { expiresAt: ends });
        return { ...made, replacedKeyId: old.id, replacedKeyExpiresAt: ends.toISOString() };
      }),
    );
    return { ...answer, key: secret };
  }

  /** Ends a key for good. Every transaction checks its key, so the next request with this one is refused. */
  revoke(context: RequestContext, apiKeyId: string, revision: number): Promise<ApiKeyDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      await this.keys.lockAdministration(tx, principal.organisationId);
      const key = await this.keys.lock(tx, apiKeyId);
      if (key === null) throw notFound('key', apiKeyId);
      expectRevision(key, revision);
      if (key.revokedAt !== null) return toApiKeyDto(key);
      const now = await this.keys.now(tx);
      const ended = key.expiresAt !== null && key.expiresAt <= now;
      if (key.role === 'administrator' && !ended && !(await this.keys.hasPeerOf(tx, key))) {
        throw lastAdministrator();
      }
      return this.change(tx, principal, 'revoked', key, { revokedAt: now });
    });
  }

  private async make(
    tx: Tx,
    principal: Principal,
    values: Pick<ApiKey, 'name' | 'role' | 'fleetIds' | 'workshopIds' | 'expiresAt'>,
    show: (id: string, key: string) => void,
  ): Promise<ApiKeyDto> {
    const { organisationId, actor } = principal;
    const secret = newSecret();
    const secretSha256 = sha256(secret);
    const key = await this.keys.create(tx, { ...values, organisationId, secretSha256, createdBy: actor });
    show(key.id, formatApiKey(organisationId, key.id, secret));
    const answer = toApiKeyDto(key);
    await this.audit.record(tx, principal, {
      action: 'created',
      subjectType: 'api-key',
      subjectId: key.id,
      after: answer,
    });
    return answer;
  }

  private async change(
    tx: Tx,
    principal: Principal,
    action: ActionOn<'api-key'>,
    key: ApiKey,
    values: Partial<Pick<ApiKey, 'expiresAt' | 'revokedAt'>>,
  ): Promise<ApiKeyDto> {
    const before = toApiKeyDto(key);
    Object.assign(key, values);
    key.revision += 1;
    const after = toApiKeyDto(await this.keys.save(tx, key));
    await this.audit.record(tx, principal, {
      action,
      subjectType: 'api-key',
      subjectId: key.id,
      before,
      after,
    });
    return after;
  }
}
