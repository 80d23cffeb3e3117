import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { UsageModelRecord } from './usage-model-record.entity';

@Module({ imports: [TypeOrmModule.forFeature([UsageModelRecord])] })
export class UsageModelsModule {}
