import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { TaskCompletion } from './task-completion.entity';

@Module({ imports: [TypeOrmModule.forFeature([TaskCompletion])] })
export class TaskCompletionsModule {}
