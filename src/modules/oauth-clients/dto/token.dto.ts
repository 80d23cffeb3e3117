import { ApiProperty } from '@nestjs/swagger';
import { oauthErrorCodes, type OAuthErrorCode } from '../../../platform/http/oauth-error';

/** An access token (RFC 6749, section 5.1). */
export class TokenDto {
  /** A signed JWT (RFC 9068). Treat it as opaque: send it as "Authorization: Bearer <token>". */
  access_token!: string;
  @ApiProperty({ enum: ['Bearer'] })
  token_type!: 'Bearer';
  /** Seconds until the token ends. */
  @ApiProperty({ type: 'integer', minimum: 1 })
  expires_in!: number;
  /** What the token is good for, separated by spaces. @example read write */
  scope!: string;
}

/** A refusal of the token endpoint (RFC 6749, section 5.2). */
export class OAuthErrorDto {
  @ApiProperty({ enum: oauthErrorCodes })
  error!: OAuthErrorCode;
  error_description!: string;
}
