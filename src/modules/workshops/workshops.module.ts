import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { Bay } from './bay.entity';
import { Technician } from './technician.entity';
import { WorkshopDiariesService } from './workshop-diaries.service';
import { WorkshopResourcesController } from './workshop-resources.controller';
import { WorkshopResourcesService } from './workshop-resources.service';
import { Workshop } from './workshop.entity';
import { WorkshopsController } from './workshops.controller';
import { WorkshopsRepository } from './workshops.repository';
import { WorkshopsService } from './workshops.service';

@Module({
  imports: [TypeOrmModule.forFeature([Workshop, Bay, Technician])],
  controllers: [WorkshopsController, WorkshopResourcesController],
  providers: [WorkshopsService, WorkshopResourcesService, WorkshopDiariesService, WorkshopsRepository],
  exports: [WorkshopsService, WorkshopResourcesService, WorkshopDiariesService],
})
export class WorkshopsModule {}
