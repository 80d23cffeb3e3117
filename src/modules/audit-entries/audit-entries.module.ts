import { Module } from '@nestjs/common';
import { AuditEntriesController } from './audit-entries.controller';
import { AuditEntriesRepository } from './audit-entries.repository';
import { AuditEntriesService } from './audit-entries.service';

@Module({
  controllers: [AuditEntriesController],
  providers: [AuditEntriesService, AuditEntriesRepository],
})
export class AuditEntriesModule {}
