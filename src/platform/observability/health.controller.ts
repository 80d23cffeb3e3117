import { Controller, Get, Header } from '@nestjs/common';
import { ApiExcludeController } from '@nestjs/swagger';
import { Transactions } from '../database/transactions';
import { Public } from '../security/allow';
import { Metrics } from './metrics';

@Public()
@ApiExcludeController()
@Controller()
export class HealthController {
  constructor(
    private readonly transactions: Transactions,
    private readonly metrics: Metrics,
  ) {}

  /** The process runs. */
  @Get('health/live')
  live(): { status: 'live' } {
    return { status: 'live' };
  }

  /** The process can do its work: the database answers. Otherwise the problem filter says 503. */
  @Get('health/ready')
  async ready(): Promise<{ status: 'ready' }> {
    await this.transactions.ping();
    return { status: 'ready' };
  }

  @Get('metrics')
  @Header('Content-Type', 'text/plain; version=0.0.4; charset=utf-8')
  async collect(): Promise<string> {
    return this.metrics.registry.metrics();
  }
}
