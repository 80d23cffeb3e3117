import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DepotsModule } from '../depots/depots.module';
import { WorkshopsModule } from '../workshops/workshops.module';
import { CalendarContentsRepository } from './calendar-contents.repository';
import { CalendarFeed } from './calendar-feed.entity';
import { CalendarFeedsController } from './calendar-feeds.controller';
import { CalendarFeedsRepository } from './calendar-feeds.repository';
import { CalendarFeedsService } from './calendar-feeds.service';
import { CalendarReaderService } from './calendar-reader.service';
import { CalendarsController } from './calendars.controller';

@Module({
  imports: [TypeOrmModule.forFeature([CalendarFeed]), WorkshopsModule, DepotsModule],
  controllers: [CalendarFeedsController, CalendarsController],
  providers: [
    CalendarFeedsService,
    CalendarReaderService,
    CalendarFeedsRepository,
    CalendarContentsRepository,
  ],
})
export class CalendarFeedsModule {}
