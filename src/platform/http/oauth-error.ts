import { Catch, type ArgumentsHost, type ExceptionFilter } from '@nestjs/common';
import type { FastifyReply } from 'fastify';

/** The refusals of RFC 6749, section 5.2, that a client can meet here. */
export const oauthErrorCodes = [
  'invalid_request',
  'invalid_client',
  'unsupported_grant_type',
  'invalid_scope',
] as const;

export type OAuthErrorCode = (typeof oauthErrorCodes)[number];

/** A refusal in the form that clients of OAuth 2 understand. */
export class OAuthError extends Error {
  constructor(
    readonly code: OAuthErrorCode,
    readonly description: string,
  ) {
    super(description);
    this.name = 'OAuthError';
  }
}

/** Answers OAuthErrors as RFC 6749 wants them; everything else stays a problem document. */
@Catch(OAuthError)
export class OAuthErrorFilter implements ExceptionFilter<OAuthError> {
  catch({ code, description }: OAuthError, host: ArgumentsHost): void {
    const reply = host.switchToHttp().getResponse<FastifyReply>();
    if (code === 'invalid_client') {
      void reply.header('WWW-Authenticate', 'Basic realm="Precharge", charset="UTF-8"');
    }
    void reply
      .status(code === 'invalid_client' ? 401 : 400)
      .header('Content-Type', 'application/json; charset=utf-8')
      // the characters that section 5.2 allows
      .send({ error: code, error_description: description.replace(/[^\x20-\x21\x23-\x5b\x5d-\x7e]/g, "'") });
  }
}
