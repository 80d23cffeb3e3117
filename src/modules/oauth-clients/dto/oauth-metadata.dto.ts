import { ApiProperty } from '@nestjs/swagger';
import { scopes, type Scope } from '../../../platform/security/scope';

/** Where and how to sign in (RFC 8414, section 2). */
export class OAuthMetadataDto {
  /** @example https://precharge.example */
  issuer!: string;
  token_endpoint!: string;
  jwks_uri!: string;
  @ApiProperty({ enum: scopes, isArray: true })
  scopes_supported!: Scope[];
  /** Empty: nobody is sent to an authorization page. */
  response_types_supported!: string[];
  grant_types_supported!: string[];
  token_endpoint_auth_methods_supported!: string[];
  service_documentation!: string;
}

/** A public key (RFC 7517, section 4). */
export class JsonWebKeyDto {
  kty!: string;
  crv!: string;
  x!: string;
  y!: string;
  kid!: string;
  alg!: string;
  use!: string;
}

/** The keys that tokens are verified with (RFC 7517, section 5). */
export class JsonWebKeySetDto {
  keys!: JsonWebKeyDto[];
}
