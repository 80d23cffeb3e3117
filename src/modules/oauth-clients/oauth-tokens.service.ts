import { timingSafeEqual } from 'node:crypto';
import { Inject, Injectable } from '@nestjs/common';
import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Config } from '../../platform/config/config';
import { CONFIG } from '../../platform/config/config.module';
import { Transactions } from '../../platform/database/transactions';
import { formOf } from '../../platform/http/form-body';
import { OAuthError } from '../../platform/http/oauth-error';
import { RequestAllowance } from '../../platform/http/request-allowance';
import { SIGNING_ALGORITHM, TOKEN_LIFETIME_SECONDS } from '../../platform/security/access-token-rules';
import { AccessTokens, type TokenHolder } from '../../platform/security/access-tokens';
import { sha256 } from '../../platform/security/api-key-token';
import { parseClientId } from '../../platform/security/oauth-client-id';
import { systemPrincipal } from '../../platform/security/principal';
import { scopes, type Scope } from '../../platform/security/scope';
import { SigningKeys } from '../../platform/security/signing-keys';
import type { JsonWebKeySetDto, OAuthMetadataDto } from './dto/oauth-metadata.dto';
import type { TokenDto } from './dto/token.dto';
import { signingIn } from './oauth-clients.repository';
import { readTokenRequest, type TokenRequest } from './read-token-request';

/** Signs clients in: the authorization server of OAuth 2. */
@Injectable()
export class OAuthTokensService {
  constructor(
    private readonly transactions: Transactions,
    private readonly tokens: AccessTokens,
    private readonly keys: SigningKeys,
    private readonly allowance: RequestAllowance,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  async issue(request: FastifyRequest, reply: FastifyReply): Promise<TokenDto> {
    await this.allowance.takeSignIn(request.ip, reply);
    const asked = readTokenRequest(request.headers.authorization, formOf(request));
    const client = await this.signIn(asked);
    await this.allowance.takeToken(client.id, reply);
    const granted = grantedScopes(asked.scope, client.scopes);
    return {
      access_token: await this.tokens.issue(client, granted),
      token_type: 'Bearer',
      expires_in: TOKEN_LIFETIME_SECONDS,
      scope: granted.join(' '),
    };
  }

  metadata(): OAuthMetadataDto {
    const { publicUrl } = this.config;
    return {
      issuer: publicUrl,
      token_endpoint: `${publicUrl}/v1/oauth/token`,
      jwks_uri: `${publicUrl}/.well-known/jwks.json`,
      scopes_supported: [...scopes],
      response_types_supported: [],
      grant_types_supported: ['client_credentials'],
      token_endpoint_auth_methods_supported: ['client_secret_basic', 'client_secret_post'],
      service_documentation: `${publicUrl}/docs`,
    };
  }

  async publicKeys(): Promise<JsonWebKeySetDto> {
    const keys = await this.keys.publicKeys();
    return {
      keys: keys.map(({ kty = '', crv = '', x = '', y = '', kid = '' }) => ({
        ...{ kty, crv, x, y, kid },
        alg: SIGNING_ALGORITHM,
        use: 'sig',
      })),
    };
  }

  // Which of id and secret is wrong is nobody's business.
  private async signIn({ clientId, clientSecret }: TokenRequest): Promise<TokenHolder & { scopes: Scope[] }> {
    const ids = parseClientId(clientId);
    const [client] =
      ids === null
        ? []
        : await this.transactions.readRows(
            systemPrincipal(ids.organisationId, 'signing in'),
            signingIn(ids.id),
          );
    const shown = sha256(clientSecret);
    if (ids === null || client?.secrets.some((secret) => timingSafeEqual(secret, shown)) !== true) {
      throw new OAuthError(
        'invalid_client',
        'This client is unknown or revoked, or its secret is not valid.',
      );
    }
    return { ...client, organisationId: ids.organisationId };
  }
}

function grantedScopes(asked: string | null, had: readonly Scope[]): Scope[] {
  if (asked === null) return [...had];
  const wanted = asked.split(' ');
  const beyond = wanted.filter((each) => !had.some((scope) => scope === each));
  if (beyond.length > 0) {
    throw new OAuthError('invalid_scope', `This client can have ${had.join(' ')}.`);
  }
  return had.filter((scope) => wanted.includes(scope));
}
