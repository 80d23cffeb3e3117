import { Global, Module, type DynamicModule } from '@nestjs/common';
import type { Config } from './config';

export const CONFIG = Symbol('config');

@Global()
@Module({})
export class ConfigModule {
  static with(config: Config): DynamicModule {
    return { module: ConfigModule, providers: [{ provide: CONFIG, useValue: config }], exports: [CONFIG] };
  }
}
