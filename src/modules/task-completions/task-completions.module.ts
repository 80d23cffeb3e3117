import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DueItemsModule } from '../due-items/due-items.module';
import { TaskCompletion } from './task-completion.entity';
import { TaskCompletionsController } from './task-completions.controller';
import { TaskCompletionsRepository } from './task-completions.repository';
import { TaskCompletionsService } from './task-completions.service';

@Module({
  imports: [TypeOrmModule.forFeature([TaskCompletion]), DueItemsModule],
  controllers: [TaskCompletionsController],
  providers: [TaskCompletionsService, TaskCompletionsRepository],
  exports: [TaskCompletionsService],
})
export class TaskCompletionsModule {}
