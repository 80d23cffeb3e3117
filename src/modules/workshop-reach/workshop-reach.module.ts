import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DepotsModule } from '../depots/depots.module';
import { WorkshopsModule } from '../workshops/workshops.module';
import { ReachableWorkshop } from './reachable-workshop.entity';
import { WorkshopReachController } from './workshop-reach.controller';
import { WorkshopReach } from './workshop-reach.entity';
import { WorkshopReachRepository } from './workshop-reach.repository';
import { WorkshopReachService } from './workshop-reach.service';

@Module({
  imports: [TypeOrmModule.forFeature([WorkshopReach, ReachableWorkshop]), DepotsModule, WorkshopsModule],
  controllers: [WorkshopReachController],
  providers: [WorkshopReachService, WorkshopReachRepository],
  exports: [WorkshopReachService],
})
export class WorkshopReachModule {}
