import { Injectable } from '@nestjs/common';
import { isCalibrationOverdue } from '../../core/hydraulics/gauge-calibration';
import { localDateAt } from '../../core/shared/calendar-date';
import { AuditTrail } from '../../platform/audit/audit-trail';
import { Clock } from '../../platform/clock/clock';
import { refuseKeyOfSomeFleets } from '../../platform/database/fleet-scope';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { applyMergePatch } from '../../platform/http/merge-patch';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import type { ListGaugesQueryDto } from './dto/gauge-params.dto';
import { toGaugeDto, type GaugeDto } from './dto/gauge.dto';
import type { CreateGaugeDto, UpdateGaugeDto } from './dto/write-gauge.dto';
import type { Gauge } from './gauge.entity';
import { gaugeCodeTaken } from './gauges.errors';
import { GaugesRepository } from './gauges.repository';

const CONCERN = 'a gauge belongs to the whole organisation';

@Injectable()
export class GaugesService {
  constructor(
    private readonly transactions: Transactions,
    private readonly gauges: GaugesRepository,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
    private readonly clock: Clock,
  ) {}

  list(
    { principal }: RequestContext,
    { limit = 50, cursor, includeRetired = false }: ListGaugesQueryDto,
  ): Promise<Page<GaugeDto>> {
    const bound = { list: 'gauges', organisationId: principal.organisationId, includeRetired };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const seen = after === null ? null : String(after[0]);
      const rows = await this.gauges.list(tx, includeRetired, seen, limit);
      return this.cursors.page(
        rows,
        limit,
        bound,
        ({ id }) => [id],
        (row) => this.dtoOf(row),
      );
    });
  }

  get({ principal }: RequestContext, gaugeId: string): Promise<GaugeDto> {
    return this.transactions.read(principal, async (tx) => {
      const gauge = await this.gauges.find(tx, gaugeId);
      if (gauge === null) throw notFound('gauge', gaugeId);
      return this.dtoOf(gauge);
    });
  }

  create(context: RequestContext, body: CreateGaugeDto): Promise<GaugeDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      await refuseKeyOfSomeFleets(tx, CONCERN);
      const gauge = await onConstraint(
        () =>
          this.gauges.create(tx, {
            organisationId: principal.organisationId,
            code: body.code,
            name: body.name,
            rangeHighBarGauge: body.rangeHighBarGauge,
            calibrationDueOn: body.calibrationDueOn ?? null,
            retiredOn: body.retiredOn ?? null,
          }),
        { gauges_code_key: () => gaugeCodeTaken(body.code) },
      );
      const after = this.dtoOf(gauge);
      await this.audit.record(tx, principal, {
        action: 'created',
        subjectType: 'gauge',
        subjectId: gauge.id,
        after,
      });
      return after;
    });
  }

  update(
    context: RequestContext,
    gaugeId: string,
    revision: number,
    body: UpdateGaugeDto,
  ): Promise<GaugeDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      await refuseKeyOfSomeFleets(tx, CONCERN);
      const gauge = await this.gauges.lock(tx, gaugeId);
      if (gauge === null) throw notFound('gauge', gaugeId);
      expectRevision(gauge, revision);
      const before = this.dtoOf(gauge);
      if (applyMergePatch<Gauge>(gauge, body).length === 0) return before;
      gauge.revision += 1;
      await onConstraint(() => this.gauges.save(tx, gauge), {
        gauges_code_key: () => gaugeCodeTaken(body.code),
      });
      const after = this.dtoOf(gauge);
      await this.audit.record(tx, principal, {
        action: 'changed',
        subjectType: 'gauge',
        subjectId: gaugeId,
        before,
        after,
      });
      return after;
    });
  }

  /** By id; gauges that do not exist are missing. */
  async findByIds(tx: Tx, ids: readonly string[]): Promise<Map<string, Gauge>> {
    const gauges = ids.length === 0 ? [] : await this.gauges.findByIds(tx, [...new Set(ids)]);
    return new Map(gauges.map((gauge) => [gauge.id, gauge]));
  }

  findByCodes(tx: Tx, codes: readonly string[]): Promise<Gauge[]> {
    return this.gauges.findByCodes(tx, codes);
  }

  // a gauge is at no depot, so its day is that of UTC
  private dtoOf(gauge: Gauge): GaugeDto {
    return toGaugeDto(gauge, isCalibrationOverdue(gauge, localDateAt(this.clock.now(), 'UTC')) === true);
  }
}
