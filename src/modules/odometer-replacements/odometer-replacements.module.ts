import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { OdometerReplacement } from './odometer-replacement.entity';

@Module({ imports: [TypeOrmModule.forFeature([OdometerReplacement])] })
export class OdometerReplacementsModule {}
