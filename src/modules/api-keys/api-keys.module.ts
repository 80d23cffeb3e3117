import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { ApiKey } from './api-key.entity';

@Module({ imports: [TypeOrmModule.forFeature([ApiKey])] })
export class ApiKeysModule {}
