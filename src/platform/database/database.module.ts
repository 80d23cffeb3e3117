import { Global, Module, type DynamicModule } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import type { Logger } from 'pino';
import type { Config } from '../config/config';
import { IdempotencyRecord } from './idempotency-record.entity';
import type { OpenDatabase } from './open-database';
import { AuditBacklog } from './audit-backlog';
import { ImportBacklog } from './import-backlog';
import { ChangeClock } from './change-clock';
import { PreparingClient } from './preparing-client';
import { SnakeCaseNaming } from './snake-case-naming';
import { Tenants } from './tenants';
import { Transactions } from './transactions';

export const DATABASE_SECRET = Symbol('database secret');
export const DATABASE_URL = Symbol('connection of the restricted role');

@Global()
@Module({})
export class DatabaseModule {
  static with(database: OpenDatabase, config: Config, logger: Logger): DynamicModule {
    return {
      module: DatabaseModule,
      imports: [
        TypeOrmModule.forRoot({
          type: 'postgres',
          url: database.appUrl,
          autoLoadEntities: true,
          namingStrategy: new SnakeCaseNaming(),
          installExtensions: false,
          uuidExtension: 'pgcrypto',
          applicationName: 'precharge',
          poolSize: config.poolSize,
          // without a listener, a connection that the server closes while idle would end the process
          poolErrorHandler: (error: unknown) => logger.warn({ err: error }, 'idle database connection lost'),
          extra: {
            pipeline: true,
            ...(config.preparedStatements
              ? { Client: PreparingClient, options: '-c plan_cache_mode=force_generic_plan' }
              : {}),
            statement_timeout: config.statementTimeoutMs,
            connectionTimeoutMillis: 5_000,
            idleTimeoutMillis: 60_000,
          },
        }),
        TypeOrmModule.forFeature([IdempotencyRecord]),
      ],
      providers: [
        Transactions,
        Tenants,
        ChangeClock,
        AuditBacklog,
        ImportBacklog,
        { provide: DATABASE_SECRET, useValue: database.secret },
        { provide: DATABASE_URL, useValue: database.appUrl },
      ],
      exports: [
        Transactions,
        Tenants,
        ChangeClock,
        AuditBacklog,
        ImportBacklog,
        DATABASE_SECRET,
        DATABASE_URL,
        TypeOrmModule,
      ],
    };
  }
}
