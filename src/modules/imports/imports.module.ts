import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { Import } from './import.entity';
import { ImportChunk } from './import-chunk.entity';
import { ImportLine } from './import-line.entity';

@Module({ imports: [TypeOrmModule.forFeature([Import, ImportChunk, ImportLine])] })
export class ImportsModule {}
