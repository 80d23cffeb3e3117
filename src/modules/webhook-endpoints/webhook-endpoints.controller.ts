import { Body, Controller, Delete, Get, HttpCode, Param, Patch, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { PageQueryDto } from '../../platform/http/page-query.dto';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { administrators, integrators } from '../../platform/security/role';
import { WebhookEndpointParamsDto } from './dto/webhook-endpoint-params.dto';
import { NewWebhookSecretDto, WebhookEndpointDto, WebhookEndpointPageDto } from './dto/webhook-endpoint.dto';
import {
  CreateWebhookEndpointDto,
  RotateWebhookSecretDto,
  UpdateWebhookEndpointDto,
} from './dto/write-webhook-endpoint.dto';
import { WebhookEndpointsService } from './webhook-endpoints.service';

@ApiTags('webhooks')
@Controller('v1/webhook-endpoints')
export class WebhookEndpointsController {
  constructor(private readonly endpoints: WebhookEndpointsService) {}

  /** Lists the addresses that are told of changes, never their secrets. */
  @Get()
  @Allow(integrators)
  list(@Context() context: RequestContext, @Query() query: PageQueryDto): Promise<WebhookEndpointPageDto> {
    return this.endpoints.list(context, query);
  }

  /**
   * Adds an address. It is asked for its consent first: a signed message of the type `webhook.consent` carries a
   * challenge, and the answer, with a status of 2xx, must be `{"challenge": "…"}` with the same text. The answer to this
   * request shows the secret once; an answer that is repeated for an Idempotency-Key does not.
   */
  @Post()
  @Allow(administrators)
  create(
    @Context() context: RequestContext,
    @Body() body: CreateWebhookEndpointDto,
  ): Promise<NewWebhookSecretDto> {
    return this.endpoints.create(context, body);
  }

  /** Reads one endpoint. */
  @Get(':webhookEndpointId')
  @Allow(integrators)
  get(
    @Context() context: RequestContext,
    @Param() { webhookEndpointId }: WebhookEndpointParamsDto,
  ): Promise<WebhookEndpointDto> {
    return this.endpoints.get(context, webhookEndpointId);
  }

  /** Changes an endpoint (JSON merge patch), pauses it, or opens it again. */
  @Patch(':webhookEndpointId')
  @Allow(administrators)
  update(
    @Context() context: RequestContext,
    @Param() { webhookEndpointId }: WebhookEndpointParamsDto,
    @IfMatch() revision: number,
    @Body() body: UpdateWebhookEndpointDto,
  ): Promise<WebhookEndpointDto> {
    return this.endpoints.update(context, webhookEndpointId, revision, body);
  }

  /** Deletes an endpoint, its secrets and what waits for it. */
  @Delete(':webhookEndpointId')
  @HttpCode(204)
  @Allow(administrators)
  delete(
    @Context() context: RequestContext,
    @Param() { webhookEndpointId }: WebhookEndpointParamsDto,
    @IfMatch() revision: number,
  ): Promise<void> {
    return this.endpoints.delete(context, webhookEndpointId, revision);
  }

  /** Makes a new secret, shown once; the old one signs beside it until the overlap ends. */
  @Post(':webhookEndpointId/rotate-secret')
  @HttpCode(200)
  @Allow(administrators)
  rotateSecret(
    @Context() context: RequestContext,
    @Param() { webhookEndpointId }: WebhookEndpointParamsDto,
    @Body() body: RotateWebhookSecretDto,
  ): Promise<NewWebhookSecretDto> {
    return this.endpoints.rotateSecret(context, webhookEndpointId, body);
  }

  /** Asks for consent again, with a new challenge and without waiting for the next attempt. */
  @Post(':webhookEndpointId/request-consent')
  @HttpCode(200)
  @Allow(integrators)
  requestConsent(
    @Context() context: RequestContext,
    @Param() { webhookEndpointId }: WebhookEndpointParamsDto,
  ): Promise<WebhookEndpointDto> {
    return this.endpoints.requestConsent(context, webhookEndpointId);
  }
}
