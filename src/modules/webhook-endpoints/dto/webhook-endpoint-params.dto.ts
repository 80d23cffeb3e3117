import { ApiProperty } from '@nestjs/swagger';
import { IsIn, IsOptional, IsUUID } from 'class-validator';
import { PageQueryDto } from '../../../platform/http/page-query.dto';
import { deliveryStates, type DeliveryState } from '../webhook-delivery.entity';

export class WebhookEndpointParamsDto {
  @IsUUID()
  webhookEndpointId!: string;
}

export class WebhookDeliveryParamsDto extends WebhookEndpointParamsDto {
  @IsUUID()
  deliveryId!: string;
}

export class ListWebhookDeliveriesQueryDto extends PageQueryDto {
  /** Only deliveries in this state. */
  @IsOptional()
  @IsIn(deliveryStates)
  @ApiProperty({ required: false, enum: deliveryStates })
  state?: DeliveryState;
}
