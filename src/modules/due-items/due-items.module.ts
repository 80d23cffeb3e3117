import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { AnnouncedState } from './announced-state.entity';
import { AnnouncedStatesRepository } from './announced-states.repository';
import { DueItemRecord } from './due-item-record.entity';
import { DueItemsController } from './due-items.controller';
import { DueItemsRepository } from './due-items.repository';
import { DueItemsService } from './due-items.service';
import { DueListService } from './due-list.service';
import { HoldRecordsRepository } from './hold-records.repository';
import { HoldStatusService } from './hold-status.service';
import { StateAnnouncerService } from './state-announcer.service';
import { UnitRecordsService } from './unit-records.service';
import { UsageController } from './usage.controller';
import { UsageService } from './usage.service';
import { VehiclePlacesRepository } from './vehicle-places.repository';
import { VehiclePlacesService } from './vehicle-places.service';
import { VehicleRecordsRepository } from './vehicle-records.repository';

@Module({
  imports: [TypeOrmModule.forFeature([DueItemRecord, AnnouncedState])],
  controllers: [DueItemsController, UsageController],
  providers: [
    DueItemsService,
    DueListService,
    DueItemsRepository,
    VehicleRecordsRepository,
    HoldStatusService,
    HoldRecordsRepository,
    VehiclePlacesService,
    VehiclePlacesRepository,
    UsageService,
    UnitRecordsService,
    StateAnnouncerService,
    AnnouncedStatesRepository,
  ],
  exports: [DueItemsService, HoldStatusService, UnitRecordsService, UsageService, VehiclePlacesService],
})
export class DueItemsModule {}
