import { Body, Controller, Get, HttpCode, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { integrators } from '../../platform/security/role';
import {
  ReplayedDeadLettersDto,
  ReplayedSinceDto,
  WebhookDeliveryDto,
  WebhookDeliveryPageDto,
} from './dto/webhook-delivery.dto';
import {
  ListWebhookDeliveriesQueryDto,
  WebhookDeliveryParamsDto,
  WebhookEndpointParamsDto,
} from './dto/webhook-endpoint-params.dto';
import { ReplayWebhooksDto } from './dto/write-webhook-endpoint.dto';
import { WebhookDeliveriesService } from './webhook-deliveries.service';

@ApiTags('webhooks')
@Controller('v1/webhook-endpoints/:webhookEndpointId')
export class WebhookDeliveriesController {
  constructor(private readonly deliveries: WebhookDeliveriesService) {}

  /** Lists what was sent and is to be sent to an endpoint, newest first, with every attempt. Kept for thirty days. */
  @Get('deliveries')
  @Allow(integrators)
  list(
    @Context() context: RequestContext,
    @Param() { webhookEndpointId }: WebhookEndpointParamsDto,
    @Query() query: ListWebhookDeliveriesQueryDto,
  ): Promise<WebhookDeliveryPageDto> {
    return this.deliveries.list(context, webhookEndpointId, query);
  }

  /** Reads one delivery with its attempts. */
  @Get('deliveries/:deliveryId')
  @Allow(integrators)
  get(
    @Context() context: RequestContext,
    @Param() { webhookEndpointId, deliveryId }: WebhookDeliveryParamsDto,
  ): Promise<WebhookDeliveryDto> {
    return this.deliveries.get(context, webhookEndpointId, deliveryId);
  }

  /** Sends one delivery again, delivered or dead, with the same `webhook-id`. */
  @Post('deliveries/:deliveryId/replay')
  @HttpCode(200)
  @Allow(integrators)
  replay(
    @Context() context: RequestContext,
    @Param() { webhookEndpointId, deliveryId }: WebhookDeliveryParamsDto,
  ): Promise<WebhookDeliveryDto> {
    return this.deliveries.replay(context, webhookEndpointId, deliveryId);
  }

  /** Sends all dead deliveries again, each in its old place. */
  @Post('replay-dead-letters')
  @HttpCode(200)
  @Allow(integrators)
  replayDeadLetters(
    @Context() context: RequestContext,
    @Param() { webhookEndpointId }: WebhookEndpointParamsDto,
  ): Promise<ReplayedDeadLettersDto> {
    return this.deliveries.replayDeadLetters(context, webhookEndpointId);
  }

  /** Sends everything again that was recorded since a moment, also what happened before the endpoint was added. */
  @Post('replay')
  @HttpCode(200)
  @Allow(integrators)
  replaySince(
    @Context() context: RequestContext,
    @Param() { webhookEndpointId }: WebhookEndpointParamsDto,
    @Body() body: ReplayWebhooksDto,
  ): Promise<ReplayedSinceDto> {
    return this.deliveries.replaySince(context, webhookEndpointId, body);
  }
}
