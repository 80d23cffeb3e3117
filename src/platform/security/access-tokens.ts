import { randomUUID } from 'node:crypto';
import { Inject, Injectable } from '@nestjs/common';
import { errors, jwtVerify, SignJWT, type JWTHeaderParameters, type JWTPayload } from 'jose';
import { Clock } from '../clock/clock';
import type { Config } from '../config/config';
import { CONFIG } from '../config/config.module';
import { CodedError } from '../errors/coded-error';
import { LEEWAY_SECONDS, SIGNING_ALGORITHM, TOKEN_LIFETIME_SECONDS, TOKEN_TYPE } from './access-token-rules';
import { KeptPrincipals } from './kept-principals';
import { formatClientId, parseClientId } from './oauth-client-id';
import type { Principal } from './principal';
import { roles, type Role } from './role';
import { scopesOf, type Scope } from './scope';
import { SigningKeys } from './signing-keys';

/** Whom a token is made for. */
export interface TokenHolder {
  organisationId: string;
  id: string;
  name: string;
  role: Role;
}

// RFC 9068, section 2.2; the roles claim is that of RFC 7643, section 4.1.2
const CLAIMS = ['iss', 'aud', 'sub', 'client_id', 'iat', 'nbf', 'exp', 'jti', 'scope', 'roles', 'name'];

/** a token of this service has some 600 characters */
const LONGEST_TOKEN = 4_096;

/** Makes access tokens for OAuth clients, and knows whom one was made for. */
@Injectable()
export class AccessTokens {
  private readonly kept = new KeptPrincipals();
  private readonly issuer: string;
  private readonly audience: string;

  constructor(
    private readonly keys: SigningKeys,
    private readonly clock: Clock,
    @Inject(CONFIG) config: Config,
  ) {
    this.issuer = config.publicUrl;
    this.audience = `${config.publicUrl}/v1`;
  }

  async issue({ organisationId, id, name, role }: TokenHolder, scopes: readonly Scope[]): Promise<string> {
    const { keyId, privateKey } = await this.keys.toSign();
    const clientId = formatClientId(organisationId, id);
    const now = Math.floor(this.clock.now() / 1_000);
    return new SignJWT({ client_id: clientId, scope: scopes.join(' '), roles: [role], name })
      .setProtectedHeader({ alg: SIGNING_ALGORITHM, typ: TOKEN_TYPE, kid: keyId })
      .setIssuer(this.issuer)
      .setAudience(this.audience)
      .setSubject(clientId)
      .setIssuedAt(now)
      .setNotBefore(now)
      .setExpirationTime(now + TOKEN_LIFETIME_SECONDS)
      .setJti(randomUUID())
      .sign(privateKey);
  }

  /**
   * Whose token it is. Whether the client has been revoked since is for the transaction to find out.
   *
   * @throws CodedError `token-not-valid`
   */
  async principalOf(token: string): Promise<Principal> {
    const known = this.kept.find(token);
    if (known !== null) return known;
    const claims = await this.verified(token);
    const principal = principalIn(claims);
    if (principal === null) throw notValid('It does not say whom it was made for.');
    return this.kept.keep(token, principal, (claims.exp ?? 0) * 1_000 - this.clock.now());
  }

  private async verified(token: string): Promise<JWTPayload> {
    if (token.length > LONGEST_TOKEN) throw notValid('It is longer than any token of this service.');
    try {
      const keyOf = async ({ kid }: JWTHeaderParameters) => {
        const key = await this.keys.toVerify(kid ?? '');
        if (key === null) throw notValid('Its key is unknown or retired.');
        return key;
      };
      const { payload } = await jwtVerify(token, keyOf, {
        algorithms: [SIGNING_ALGORITHM],
        typ: TOKEN_TYPE,
        issuer: this.issuer,
        audience: this.audience,
        requiredClaims: CLAIMS,
        clockTolerance: LEEWAY_SECONDS,
        currentDate: new Date(this.clock.now()),
      });
      return payload;
    } catch (error) {
      if (error instanceof errors.JWTExpired) throw notValid('It has expired.');
      if (error instanceof errors.JOSEError) throw notValid('It was not made here, or not for this service.');
      throw error;
    }
  }
}

function principalIn({ client_id, sub, name, roles: held, scope }: JWTPayload): Principal | null {
  const client = typeof client_id === 'string' && client_id === sub ? parseClientId(client_id) : null;
  const [role] = Array.isArray(held) ? roles.filter((each) => each === held[0]) : [];
  if (client === null || role === undefined || typeof name !== 'string' || typeof scope !== 'string')
    return null;
  const asked = scope.split(' ');
  return {
    organisationId: client.organisationId,
    actorId: client.id,
    role,
    scopes: scopesOf(role).filter((each) => asked.includes(each)),
    actor: `${name} (client ${client.id})`,
  };
}

function notValid(why: string): CodedError {
  return new CodedError('token-not-valid', `This access token is not accepted. ${why}`);
}
