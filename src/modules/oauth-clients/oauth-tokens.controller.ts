import { Controller, Get, Header, HttpCode, Post, Req, Res, UseFilters } from '@nestjs/common';
import { ApiBody, ApiConsumes, ApiExtension, ApiResponse, ApiTags } from '@nestjs/swagger';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { FORM } from '../../platform/http/form-body';
import { OAuthErrorFilter } from '../../platform/http/oauth-error';
import { Public } from '../../platform/security/allow';
import { JsonWebKeySetDto, OAuthMetadataDto } from './dto/oauth-metadata.dto';
import { OAuthErrorDto, TokenDto } from './dto/token.dto';
import { OAuthTokensService } from './oauth-tokens.service';

const TEXT = { type: 'string', maxLength: 200 } as const;

@ApiTags('signing in')
@Public()
@Controller()
export class OAuthTokensController {
  constructor(private readonly tokens: OAuthTokensService) {}

  /**
   * Gives a client an access token for ten minutes: OAuth 2 with client credentials (RFC 6749, section 4.4). The client
   * shows its id and secret as HTTP Basic or in the form, not both. What it did wrong is told in the form of RFC 6749,
   * section 5.2, not as a problem document; what has nothing to do with OAuth (406, 413, 415, 429, 5xx) is a problem
   * document here as well.
   */
  @Post('v1/oauth/token')
  @HttpCode(200)
  @Header('Cache-Control', 'no-store')
  @Header('Pragma', 'no-cache')
  @UseFilters(OAuthErrorFilter)
  @ApiConsumes(FORM)
  @ApiBody({
    schema: {
      type: 'object',
      required: ['grant_type'],
      properties: {
        grant_type: { type: 'string', enum: ['client_credentials'] },
        scope: { ...TEXT, description: 'Scopes separated by spaces; absent is all that the client has.' },
        client_id: { ...TEXT, description: 'Where the client does not sign in by HTTP Basic.' },
        client_secret: { ...TEXT, description: 'Where the client does not sign in by HTTP Basic.' },
      },
    },
  })
  @ApiResponse({ status: 400, type: OAuthErrorDto, description: 'The request was refused.' })
  @ApiResponse({ status: 401, type: OAuthErrorDto, description: 'The client did not prove who it is.' })
  @ApiExtension('x-ignores-idempotency-key', true)
  issue(@Req() request: FastifyRequest, @Res({ passthrough: true }) reply: FastifyReply): Promise<TokenDto> {
    return this.tokens.issue(request, reply);
  }

  /** Tells where and how to sign in (RFC 8414). */
  @Get('.well-known/oauth-authorization-server')
  @Header('Cache-Control', 'max-age=300')
  metadata(): OAuthMetadataDto {
    return this.tokens.metadata();
  }

  /** Lists the keys that access tokens are verified with (RFC 7517). */
  @Get('.well-known/jwks.json')
  @Header('Cache-Control', 'max-age=300')
  publicKeys(): Promise<JsonWebKeySetDto> {
    return this.tokens.publicKeys();
  }
}
