import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DueItemsModule } from '../due-items/due-items.module';
import { DefaultProgrammeService } from './default-programme.service';
import { ProgrammeActivationService } from './programme-activation.service';
import { ProgrammePreviewService } from './programme-preview.service';
import { ProgrammeVersionsController } from './programme-versions.controller';
import { ProgrammeVersionsService } from './programme-versions.service';
import { ServiceProgrammeVersion } from './service-programme-version.entity';
import { ServiceProgramme } from './service-programme.entity';
import { ServiceProgrammesController } from './service-programmes.controller';
import { ServiceProgrammesRepository } from './service-programmes.repository';
import { ServiceProgrammesService } from './service-programmes.service';

@Module({
  imports: [TypeOrmModule.forFeature([ServiceProgramme, ServiceProgrammeVersion]), DueItemsModule],
  controllers: [ServiceProgrammesController, ProgrammeVersionsController],
  providers: [
    ServiceProgrammesService,
    ProgrammeVersionsService,
    ProgrammePreviewService,
    ProgrammeActivationService,
    DefaultProgrammeService,
    ServiceProgrammesRepository,
  ],
  exports: [ProgrammeActivationService],
})
export class ServiceProgrammesModule {}
