import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DueItemsModule } from '../due-items/due-items.module';
import { HydraulicLayoutRecord } from './hydraulic-layout-record.entity';
import { HydraulicLayoutsRepository } from './hydraulic-layouts.repository';
import { HydraulicSystemsController } from './hydraulic-systems.controller';
import { HydraulicSystemsService } from './hydraulic-systems.service';
import { VehiclesToInspectController } from './vehicles-to-inspect.controller';
import { VehiclesToInspectRepository } from './vehicles-to-inspect.repository';
import { VehiclesToInspectService } from './vehicles-to-inspect.service';

@Module({
  imports: [TypeOrmModule.forFeature([HydraulicLayoutRecord]), DueItemsModule],
  controllers: [HydraulicSystemsController, VehiclesToInspectController],
  providers: [
    HydraulicSystemsService,
    HydraulicLayoutsRepository,
    VehiclesToInspectService,
    VehiclesToInspectRepository,
  ],
  exports: [HydraulicSystemsService],
})
export class HydraulicSystemsModule {}
