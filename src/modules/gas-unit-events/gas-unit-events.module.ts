import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DueItemsModule } from '../due-items/due-items.module';
import { GaugesModule } from '../gauges/gauges.module';
import { PrechargeModelsModule } from '../precharge-models/precharge-models.module';
import { GasUnitEvent } from './gas-unit-event.entity';
import { GasUnitEventsController } from './gas-unit-events.controller';
import { GasUnitEventsRepository } from './gas-unit-events.repository';
import { GasUnitEventsService } from './gas-unit-events.service';
import { PrechargeForecastsController } from './precharge-forecasts.controller';
import { PrechargeForecastsService } from './precharge-forecasts.service';
import { PrechargeLimitsService } from './precharge-limits.service';

@Module({
  imports: [TypeOrmModule.forFeature([GasUnitEvent]), DueItemsModule, GaugesModule, PrechargeModelsModule],
  controllers: [GasUnitEventsController, PrechargeForecastsController],
  providers: [
    GasUnitEventsService,
    GasUnitEventsRepository,
    PrechargeForecastsService,
    PrechargeLimitsService,
  ],
  exports: [GasUnitEventsService],
})
export class GasUnitEventsModule {}
