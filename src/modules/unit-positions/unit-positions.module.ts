import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { OwnUnitPosition } from './unit-position.entity';
import { UnitPositionsController } from './unit-positions.controller';
import { UnitPositionsRepository } from './unit-positions.repository';
import { UnitPositionsService } from './unit-positions.service';

@Module({
  imports: [TypeOrmModule.forFeature([OwnUnitPosition])],
  controllers: [UnitPositionsController],
  providers: [UnitPositionsService, UnitPositionsRepository],
  exports: [UnitPositionsService],
})
export class UnitPositionsModule {}
