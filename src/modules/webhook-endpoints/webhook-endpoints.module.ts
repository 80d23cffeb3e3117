import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { ChangesModule } from '../changes/changes.module';
import { EndpointChangesService } from './endpoint-changes.service';
import { WebhookConsentService } from './webhook-consent.service';
import { WebhookCourierService } from './webhook-courier.service';
import { WebhookDeliveriesController } from './webhook-deliveries.controller';
import { WebhookDeliveriesRepository } from './webhook-deliveries.repository';
import { WebhookDeliveriesService } from './webhook-deliveries.service';
import { WebhookDelivery } from './webhook-delivery.entity';
import { WebhookEndpoint } from './webhook-endpoint.entity';
import { WebhookEndpointsController } from './webhook-endpoints.controller';
import { WebhookEndpointsRepository } from './webhook-endpoints.repository';
import { WebhookEndpointsService } from './webhook-endpoints.service';
import { WebhookLane } from './webhook-lane.entity';
import { WebhookMetricsService } from './webhook-metrics.service';
import { WebhookOutboxService } from './webhook-outbox.service';
import { WebhookSenderService } from './webhook-sender.service';
import { WebhookSigningSecret } from './webhook-signing-secret.entity';
import { WebhookTurnService } from './webhook-turn.service';

@Module({
  imports: [
    ChangesModule,
    TypeOrmModule.forFeature([WebhookEndpoint, WebhookSigningSecret, WebhookLane, WebhookDelivery]),
  ],
  controllers: [WebhookEndpointsController, WebhookDeliveriesController],
  providers: [
    WebhookEndpointsService,
    WebhookEndpointsRepository,
    WebhookDeliveriesService,
    WebhookDeliveriesRepository,
    EndpointChangesService,
    WebhookSenderService,
    WebhookConsentService,
    WebhookOutboxService,
    WebhookTurnService,
    WebhookCourierService,
    WebhookMetricsService,
  ],
})
export class WebhookEndpointsModule {}
