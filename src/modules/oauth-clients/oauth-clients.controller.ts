import { Body, Controller, Delete, Get, HttpCode, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { administrators } from '../../platform/security/role';
import { ListOAuthClientsQueryDto, OAuthClientParamsDto } from './dto/oauth-client-query.dto';
import { OAuthClientDto, OAuthClientPageDto, OAuthClientWithSecretDto } from './dto/oauth-client.dto';
import { CreateOAuthClientDto, RotateOAuthClientDto } from './dto/write-oauth-client.dto';
import { OAuthClientsService } from './oauth-clients.service';

@ApiTags('oauth clients')
@Controller('v1/oauth-clients')
export class OAuthClientsController {
  constructor(private readonly clients: OAuthClientsService) {}

  /** Lists clients, never their secrets. */
  @Get()
  @Allow(administrators, 'manage-access')
  list(
    @Context() context: RequestContext,
    @Query() query: ListOAuthClientsQueryDto,
  ): Promise<OAuthClientPageDto> {
    return this.clients.list(context, query);
  }

  /** Makes a client. The answer shows its secret once; an answer that is repeated for an Idempotency-Key does not. */
  @Post()
  @Allow(administrators, 'manage-access')
  create(
    @Context() context: RequestContext,
    @Body() body: CreateOAuthClientDto,
  ): Promise<OAuthClientWithSecretDto> {
    return this.clients.create(context, body);
  }

  /** Reads what is known of a client. */
  @Get(':oauthClientId')
  @Allow(administrators, 'manage-access')
  get(
    @Context() context: RequestContext,
    @Param() { oauthClientId }: OAuthClientParamsDto,
  ): Promise<OAuthClientDto> {
    return this.clients.get(context, oauthClientId);
  }

  /** Revokes a client and its tokens at once. Its record stays. */
  @Delete(':oauthClientId')
  @Allow(administrators, 'manage-access')
  revoke(
    @Context() context: RequestContext,
    @Param() { oauthClientId }: OAuthClientParamsDto,
    @IfMatch() revision: number,
  ): Promise<OAuthClientDto> {
    return this.clients.revoke(context, oauthClientId, revision);
  }

  /**
   * Makes a new secret for a client; the old one is accepted until the overlap ends. A secret that was on its way out
   * already is not accepted any more. Tokens go on until they end.
   */
  @Post(':oauthClientId/rotate')
  @HttpCode(200)
  @Allow(administrators, 'manage-access')
  rotate(
    @Context() context: RequestContext,
    @Param() { oauthClientId }: OAuthClientParamsDto,
    @Body() body: RotateOAuthClientDto,
  ): Promise<OAuthClientWithSecretDto> {
    return this.clients.rotate(context, oauthClientId, body);
  }
}
