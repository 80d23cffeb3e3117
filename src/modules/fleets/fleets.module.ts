import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DueItemsModule } from '../due-items/due-items.module';
import { Fleet } from './fleet.entity';
import { FleetsController } from './fleets.controller';
import { FleetsRepository } from './fleets.repository';
import { FleetsService } from './fleets.service';

@Module({
  imports: [TypeOrmModule.forFeature([Fleet]), DueItemsModule],
  controllers: [FleetsController],
  providers: [FleetsService, FleetsRepository],
  exports: [FleetsService],
})
export class FleetsModule {}
