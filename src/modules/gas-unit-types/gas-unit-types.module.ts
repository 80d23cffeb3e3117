import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DueItemsModule } from '../due-items/due-items.module';
import { GasUnitType } from './gas-unit-type.entity';
import { GasUnitTypesController } from './gas-unit-types.controller';
import { GasUnitTypesRepository } from './gas-unit-types.repository';
import { GasUnitTypesService } from './gas-unit-types.service';
import { UnitPositionsModule } from '../unit-positions/unit-positions.module';

@Module({
  imports: [TypeOrmModule.forFeature([GasUnitType]), DueItemsModule, UnitPositionsModule],
  controllers: [GasUnitTypesController],
  providers: [GasUnitTypesService, GasUnitTypesRepository],
  exports: [GasUnitTypesService],
})
export class GasUnitTypesModule {}
