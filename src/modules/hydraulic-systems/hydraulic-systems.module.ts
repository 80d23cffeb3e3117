import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { HydraulicLayoutRecord } from './hydraulic-layout-record.entity';

@Module({ imports: [TypeOrmModule.forFeature([HydraulicLayoutRecord])] })
export class HydraulicSystemsModule {}
