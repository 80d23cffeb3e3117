import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DepotsModule } from '../depots/depots.module';
import { RosterNeed } from './roster-need.entity';
import { RosterNeedsController } from './roster-needs.controller';
import { RosterNeedsRepository } from './roster-needs.repository';
import { RosterNeedsService } from './roster-needs.service';

@Module({
  imports: [TypeOrmModule.forFeature([RosterNeed]), DepotsModule],
  controllers: [RosterNeedsController],
  providers: [RosterNeedsService, RosterNeedsRepository],
  exports: [RosterNeedsService],
})
export class RosterNeedsModule {}
