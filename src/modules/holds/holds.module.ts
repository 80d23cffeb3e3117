import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { Hold } from './hold.entity';
import { HoldOverride } from './hold-override.entity';

@Module({ imports: [TypeOrmModule.forFeature([Hold, HoldOverride])] })
export class HoldsModule {}
