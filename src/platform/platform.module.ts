import { Global, Module, type DynamicModule } from '@nestjs/common';
import { APP_GUARD } from '@nestjs/core';
import { TypeOrmModule } from '@nestjs/typeorm';
import type { Logger } from 'pino';
import { AuditTrail } from './audit/audit-trail';
import { AuditEntry } from './audit/audit-entry.entity';
import { Event, EventHorizon } from './audit/event.entity';
import { Clock } from './clock/clock';
import type { Config } from './config/config';
import { ConfigModule } from './config/config.module';
import { DatabaseModule } from './database/database.module';
import type { OpenDatabase } from './database/open-database';
import { PersonAddresses } from './database/person-addresses';
import { SignInFailures } from './database/sign-in-failures';
import { RequestCounters } from './database/request-counters';
import { SigningKeyStore } from './database/signing-key-store';
import { Turns } from './database/turns';
import { ExportListsInterceptor } from './exports/export-lists.interceptor';
import { Cursors } from './http/page';
import { ProblemsController } from './http/problems.controller';
import { RequestAllowance } from './http/request-allowance';
import { Jobs } from './jobs/jobs';
import { RepeatedWork } from './jobs/repeated-work';
import { HealthController } from './observability/health.controller';
import { LOGGER } from './observability/logging';
import { Metrics } from './observability/metrics';
import { AccessTokens } from './security/access-tokens';
import { ApiKeyVerifier } from './security/api-key-verifier';
import { AccessGuard } from './security/access.guard';
import { Passwords } from './security/passwords';
import { SessionVerifier } from './security/session-verifier';
import { SigningKeys } from './security/signing-keys';

/** What every resource stands on. */
@Global()
@Module({})
export class PlatformModule {
  static with(database: OpenDatabase, config: Config, logger: Logger): DynamicModule {
    const shared = [
      Clock,
      Jobs,
      RepeatedWork,
      RequestCounters,
      Turns,
      Cursors,
      Metrics,
      AuditTrail,
      ExportListsInterceptor,
      ApiKeyVerifier,
      SigningKeyStore,
      SigningKeys,
      AccessTokens,
      SessionVerifier,
      Passwords,
      PersonAddresses,
      SignInFailures,
      RequestAllowance,
    ];
    return {
      module: PlatformModule,
      imports: [
        ConfigModule.with(config),
        DatabaseModule.with(database, config, logger),
        TypeOrmModule.forFeature([AuditEntry, Event, EventHorizon]),
      ],
      controllers: [HealthController, ProblemsController],
      providers: [
        ...shared,
        { provide: APP_GUARD, useClass: AccessGuard },
        { provide: LOGGER, useValue: logger },
      ],
      exports: [...shared, LOGGER],
    };
  }
}
