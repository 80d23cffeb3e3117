import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DueItemsModule } from '../due-items/due-items.module';
import { FleetsModule } from '../fleets/fleets.module';
import { Depot } from './depot.entity';
import { DepotsController } from './depots.controller';
import { DepotsRepository } from './depots.repository';
import { DepotsService } from './depots.service';

@Module({
  imports: [TypeOrmModule.forFeature([Depot]), FleetsModule, DueItemsModule],
  controllers: [DepotsController],
  providers: [DepotsService, DepotsRepository],
  exports: [DepotsService],
})
export class DepotsModule {}
