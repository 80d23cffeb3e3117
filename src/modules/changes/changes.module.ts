import { Module } from '@nestjs/common';
import { ChangesController } from './changes.controller';
import { ChangesRepository } from './changes.repository';
import { ChangesService } from './changes.service';
import { EventRetentionService } from './event-retention.service';
import { FeedMetrics } from './feed-metrics';
import { SettledWatch } from './settled-watch';
import { ToldChangesService } from './told-changes.service';

@Module({
  controllers: [ChangesController],
  providers: [
    ChangesService,
    ChangesRepository,
    EventRetentionService,
    FeedMetrics,
    SettledWatch,
    ToldChangesService,
  ],
  exports: [ToldChangesService],
})
export class ChangesModule {}
