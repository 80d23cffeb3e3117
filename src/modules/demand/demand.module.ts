import { Module } from '@nestjs/common';
import { DemandController } from './demand.controller';
import { DemandRepository } from './demand.repository';
import { DemandService } from './demand.service';

@Module({
  controllers: [DemandController],
  providers: [DemandService, DemandRepository],
})
export class DemandModule {}
