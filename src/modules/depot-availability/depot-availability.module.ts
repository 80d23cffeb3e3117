import { Module } from '@nestjs/common';
import { RosterNeedsModule } from '../roster-needs/roster-needs.module';
import { DepotAvailabilityController } from './depot-availability.controller';
import { DepotAvailabilityRepository } from './depot-availability.repository';
import { DepotAvailabilityService } from './depot-availability.service';

@Module({
  imports: [RosterNeedsModule],
  controllers: [DepotAvailabilityController],
  providers: [DepotAvailabilityService, DepotAvailabilityRepository],
})
export class DepotAvailabilityModule {}
