import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DueItemsModule } from '../due-items/due-items.module';
import { FleetsModule } from '../fleets/fleets.module';
import { GasUnitTypesModule } from '../gas-unit-types/gas-unit-types.module';
import { UnitPositionsModule } from '../unit-positions/unit-positions.module';
import { GasUnit } from './gas-unit.entity';
import { GasUnitsController } from './gas-units.controller';
import { GasUnitsRepository } from './gas-units.repository';
import { GasUnitsService } from './gas-units.service';
import { UnitMoverService } from './unit-mover.service';
import { UnitMovesController } from './unit-moves.controller';
import { UnitMovesService } from './unit-moves.service';
import { UnitPlacement } from './unit-placement.entity';
import { UnitPlacementsRepository } from './unit-placements.repository';
import { UnitPlacementsService } from './unit-placements.service';

@Module({
  imports: [
    TypeOrmModule.forFeature([GasUnit, UnitPlacement]),
    FleetsModule,
    GasUnitTypesModule,
    UnitPositionsModule,
    DueItemsModule,
  ],
  controllers: [GasUnitsController, UnitMovesController],
  providers: [
    GasUnitsService,
    GasUnitsRepository,
    UnitMovesService,
    UnitMoverService,
    UnitPlacementsService,
    UnitPlacementsRepository,
  ],
  exports: [GasUnitsService, UnitMoverService, UnitPlacementsService],
})
export class GasUnitsModule {}
