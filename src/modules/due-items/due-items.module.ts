import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DueItemRecord } from './due-item-record.entity';
import { DueItemsController } from './due-items.controller';
import { DueItemsRepository } from './due-items.repository';
import { DueItemsService } from './due-items.service';
import { VehicleRecordsRepository } from './vehicle-records.repository';

@Module({
  imports: [TypeOrmModule.forFeature([DueItemRecord])],
  controllers: [DueItemsController],
  providers: [DueItemsService, DueItemsRepository, VehicleRecordsRepository],
  exports: [DueItemsService],
})
export class DueItemsModule {}
