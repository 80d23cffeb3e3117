import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { Gauge } from './gauge.entity';
import { GaugesController } from './gauges.controller';
import { GaugesRepository } from './gauges.repository';
import { GaugesService } from './gauges.service';

@Module({
  imports: [TypeOrmModule.forFeature([Gauge])],
  controllers: [GaugesController],
  providers: [GaugesService, GaugesRepository],
  exports: [GaugesService],
})
export class GaugesModule {}
