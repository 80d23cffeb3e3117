import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { PlanningSettingsController } from './planning-settings.controller';
import { PlanningSettings } from './planning-settings.entity';
import { PlanningSettingsRepository } from './planning-settings.repository';
import { PlanningSettingsService } from './planning-settings.service';

@Module({
  imports: [TypeOrmModule.forFeature([PlanningSettings])],
  controllers: [PlanningSettingsController],
  providers: [PlanningSettingsService, PlanningSettingsRepository],
  exports: [PlanningSettingsService],
})
export class PlanningSettingsModule {}
