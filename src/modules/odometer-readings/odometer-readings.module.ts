import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { OdometerReading } from './odometer-reading.entity';

@Module({ imports: [TypeOrmModule.forFeature([OdometerReading])] })
export class OdometerReadingsModule {}
