import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { AuditChecksService } from './audit-checks.service';
import { AuditMetrics } from './audit-metrics';
import { AuditSeal } from './audit-seal.entity';
import { AuditSealingService } from './audit-sealing.service';
import { AuditSealsController } from './audit-seals.controller';
import { AuditSealsRepository } from './audit-seals.repository';
import { AuditSealsService } from './audit-seals.service';

@Module({
  imports: [TypeOrmModule.forFeature([AuditSeal])],
  controllers: [AuditSealsController],
  providers: [AuditSealsService, AuditSealingService, AuditChecksService, AuditMetrics, AuditSealsRepository],
  exports: [AuditSealsService, AuditSealingService, AuditChecksService],
})
export class AuditSealsModule {}
