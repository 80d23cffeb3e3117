import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DueItemsModule } from '../due-items/due-items.module';
import { GaugesModule } from '../gauges/gauges.module';
import { SystemTest } from './system-test.entity';
import { SystemTestsController } from './system-tests.controller';
import { SystemTestsRepository } from './system-tests.repository';
import { SystemTestsService } from './system-tests.service';

@Module({
  imports: [TypeOrmModule.forFeature([SystemTest]), DueItemsModule, GaugesModule],
  controllers: [SystemTestsController],
  providers: [SystemTestsService, SystemTestsRepository],
  exports: [SystemTestsService],
})
export class SystemTestsModule {}
