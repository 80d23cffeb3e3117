import { randomUUID } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import { checkAccessLimits } from '../../platform/database/access-limits';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import { newSecret, sha256 } from '../../platform/security/api-key-token';
import type { Principal } from '../../platform/security/principal';
import { scopesOf } from '../../platform/security/scope';
import { shownOnce } from '../../platform/security/shown-once';
import type { ListOAuthClientsQueryDto } from './dto/oauth-client-query.dto';
import { toOAuthClientDto, type OAuthClientDto, type OAuthClientWithSecretDto } from './dto/oauth-client.dto';
import type { CreateOAuthClientDto, RotateOAuthClientDto } from './dto/write-oauth-client.dto';
import type { OAuthClient } from './oauth-client.entity';
import { beyondTheRole, isRevoked } from './oauth-clients.errors';
import { OAuthClientsRepository } from './oauth-clients.repository';

const MS_PER_HOUR = 3_600_000;

@Injectable()
export class OAuthClientsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly clients: OAuthClientsRepository,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  list({ principal }: RequestContext, query: ListOAuthClientsQueryDto): Promise<Page<OAuthClientDto>> {
    const { limit = 50, cursor, includeRevoked = false } = query;
    const bound = { list: 'oauth-clients', organisationId: principal.organisationId, includeRevoked };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const seen = after === null ? null : String(after[0]);
      const rows = await this.clients.list(tx, includeRevoked, seen, limit);
      return this.cursors.page(rows, limit, bound, ({ id }) => [id], toOAuthClientDto);
    });
  }

  get({ principal }: RequestContext, id: string): Promise<OAuthClientDto> {
    return this.transactions.read(principal, async (tx) => {
      const client = await this.clients.find(tx, id);
      if (client === null) throw notFound('client', id);
      return toOAuthClientDto(client);
    });
  }

  async create(context: RequestContext, body: CreateOAuthClientDto): Promise<OAuthClientWithSecretDto> {
    const { principal } = context;
    const { name, role, scopes = [...scopesOf(role)], fleetIds = null, workshopIds = null } = body;
    const beyond = scopes.filter((scope) => !scopesOf(role).includes(scope));
    if (beyond.length > 0) throw beyondTheRole(role, beyond);
    const { answer, secret } = await shownOnce('secretId', (show) =>
      this.transactions.write(context, async (tx) => {
        await checkAccessLimits(tx, { fleetIds, workshopIds });
        const client = await this.clients.create(tx, {
          organisationId: principal.organisationId,
          ...{ name, role, scopes, fleetIds, workshopIds },
          ...madeSecret(await this.clients.now(tx), show),
          previousSecretSha256: null,
          previousSecretEndsAt: null,
          revokedAt: null,
          createdBy: principal.actor,
        });
        const after = toOAuthClientDto(client);
        await this.audit.record(tx, principal, { ...subject('created', client), after });
        return after;
      }),
    );
    return { ...answer, clientSecret: secret };
  }

  /** Gives a client another secret. Of older ones only the last is accepted still, until the overlap ends. */
  async rotate(
    context: RequestContext,
    id: string,
    { overlapHours = 24 }: RotateOAuthClientDto,
  ): Promise<OAuthClientWithSecretDto> {
    const { principal } = context;
    const { answer, secret } = await shownOnce('secretId', (show) =>
      this.transactions.write(context, async (tx) => {
        const client = await this.clients.lock(tx, id);
        if (client === null) throw notFound('client', id);
        if (client.revokedAt !== null) throw isRevoked();
        const now = await this.clients.now(tx);
        return this.change(tx, principal, 'rotated', client, {
          ...madeSecret(now, show),
          previousSecretSha256: client.secretSha256,
          previousSecretEndsAt: new Date(now.getTime() + overlapHours * MS_PER_HOUR),
        });
      }),
    );
    return { ...answer, clientSecret: secret };
  }

  /** Ends a client for good. Every transaction checks who acts, so the next request with a token is refused. */
  revoke(context: RequestContext, id: string, revision: number): Promise<OAuthClientDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const client = await this.clients.lock(tx, id);
      if (client === null) throw notFound('client', id);
      expectRevision(client, revision);
      if (client.revokedAt !== null) return toOAuthClientDto(client);
      return this.change(tx, principal, 'revoked', client, { revokedAt: await this.clients.now(tx) });
    });
  }

  private async change(
    tx: Tx,
    principal: Principal,
    action: ActionOn<'oauth-client'>,
    client: OAuthClient,
    values: Partial<OAuthClient>,
  ): Promise<OAuthClientDto> {
    const before = toOAuthClientDto(client);
    Object.assign(client, values);
    client.revision += 1;
    const after = toOAuthClientDto(await this.clients.save(tx, client));
    await this.audit.record(tx, principal, { ...subject(action, client), before, after });
    return after;
  }
}

const subject = (action: ActionOn<'oauth-client'>, { id }: OAuthClient) =>
  ({ action, subjectType: 'oauth-client', subjectId: id }) as const;

function madeSecret(
  now: Date,
  show: (secretId: string, secret: string) => void,
): Pick<OAuthClient, 'secretId' | 'secretSha256' | 'secretMadeAt'> {
  const secretId = randomUUID();
  const secret = newSecret();
  show(secretId, secret);
  return { secretId, secretSha256: sha256(secret), secretMadeAt: now };
}
