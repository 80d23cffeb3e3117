import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DueItemsModule } from '../due-items/due-items.module';
import { HoldOverride } from './hold-override.entity';
import { HoldOverridesController } from './hold-overrides.controller';
import { HoldOverridesRepository } from './hold-overrides.repository';
import { HoldOverridesService } from './hold-overrides.service';
import { Hold } from './hold.entity';
import { HoldsController } from './holds.controller';
import { HoldsRepository } from './holds.repository';
import { HoldsService } from './holds.service';

@Module({
  imports: [TypeOrmModule.forFeature([Hold, HoldOverride]), DueItemsModule],
  controllers: [HoldsController, HoldOverridesController],
  providers: [HoldsService, HoldsRepository, HoldOverridesService, HoldOverridesRepository],
  exports: [HoldsService],
})
export class HoldsModule {}
