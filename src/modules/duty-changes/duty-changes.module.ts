import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DueItemsModule } from '../due-items/due-items.module';
import { DutyChange } from './duty-change.entity';
import { DutyChangesController } from './duty-changes.controller';
import { DutyChangesRepository } from './duty-changes.repository';
import { DutyChangesService } from './duty-changes.service';

@Module({
  imports: [TypeOrmModule.forFeature([DutyChange]), DueItemsModule],
  controllers: [DutyChangesController],
  providers: [DutyChangesService, DutyChangesRepository],
  exports: [DutyChangesService],
})
export class DutyChangesModule {}
