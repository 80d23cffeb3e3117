import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DueItemsModule } from '../due-items/due-items.module';
import { FleetsModule } from '../fleets/fleets.module';
import { UsageModelRecord } from './usage-model-record.entity';
import { UsageModelsController } from './usage-models.controller';
import { UsageModelsRepository } from './usage-models.repository';
import { UsageModelsService } from './usage-models.service';

@Module({
  imports: [TypeOrmModule.forFeature([UsageModelRecord]), DueItemsModule, FleetsModule],
  controllers: [UsageModelsController],
  providers: [UsageModelsService, UsageModelsRepository],
  exports: [UsageModelsService],
})
export class UsageModelsModule {}
