import { isDeepStrictEqual } from 'node:util';
import { Injectable } from '@nestjs/common';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import { refuseKeyOfSomeFleets } from '../../platform/database/fleet-scope';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { applyMergePatch } from '../../platform/http/merge-patch';
import { Cursors, type Page } from '../../platform/http/page';
import type { PageQueryDto } from '../../platform/http/page-query.dto';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import { UnitPositionsService } from '../unit-positions/unit-positions.service';
import { toGasUnitTypeDto, type GasUnitTypeDto } from './dto/gas-unit-type.dto';
import type { CreateGasUnitTypeDto, UpdateGasUnitTypeDto } from './dto/write-gas-unit-type.dto';
import type { GasUnitType } from './gas-unit-type.entity';
import {
  roleStillFitted,
  typeCodeTaken,
  typeKeyTaken,
  workingRangeUpsideDown,
} from './gas-unit-types.errors';
import { GasUnitTypesRepository } from './gas-unit-types.repository';

const BATCH = 250;

@Injectable()
export class GasUnitTypesService {
  constructor(
    private readonly transactions: Transactions,
    private readonly types: GasUnitTypesRepository,
    private readonly positions: UnitPositionsService,
    private readonly dueItems: DueItemsService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  list({ principal }: RequestContext, { limit = 50, cursor }: PageQueryDto): Promise<Page<GasUnitTypeDto>> {
    const bound = { list: 'gas-unit-types', organisationId: principal.organisationId };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const rows = await this.types.list(tx, after === null ? null : String(after[0]), limit);
      return this.cursors.page(rows, limit, bound, ({ id }) => [id], toGasUnitTypeDto);
    });
  }

  get({ principal }: RequestContext, gasUnitTypeId: string): Promise<GasUnitTypeDto> {
    return this.transactions.read(principal, async (tx) => {
      const type = await this.types.find(tx, gasUnitTypeId);
      if (type === null) throw notFound('type of gas unit', gasUnitTypeId);
      return toGasUnitTypeDto(type);
    });
  }

  create(context: RequestContext, body: CreateGasUnitTypeDto): Promise<GasUnitTypeDto> {
    const { principal } = context;
    const low = body.workingPressureLowBarGauge ?? null;
    const high = body.workingPressureHighBarGauge ?? null;
    checkWorkingRange(low, high);
    return this.transactions.write(context, async (tx) => {
      const type = await onConstraint(
        () =>
          this.types.create(tx, {
            organisationId: principal.organisationId,
            externalKey: body.externalKey ?? null,
            code: body.code,
            name: body.name,
            roles: body.roles,
            nominalPrecharge20BarGauge: body.nominalPrecharge20BarGauge,
            gasVolumeCm3: body.gasVolumeCm3,
            workingPressureLowBarGauge: low,
            workingPressureHighBarGauge: high,
            damperIntegral: body.damperIntegral,
            note: body.note ?? null,
          }),
        {
          gas_unit_types_code_key: () => typeCodeTaken(body.code),
          gas_unit_types_external_key_key: () => typeKeyTaken(body.externalKey),
        },
      );
      const after = toGasUnitTypeDto(type);
      await this.audit.record(tx, principal, { ...subject('created', type.id), after });
      return after;
    });
  }

  update(
    context: RequestContext,
    gasUnitTypeId: string,
    revision: number,
    body: UpdateGasUnitTypeDto,
  ): Promise<GasUnitTypeDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      await refuseKeyOfSomeFleets(tx, 'a type of gas unit belongs to all fleets of the organisation');
      // vehicles before the type, as whoever moves units takes them
      if (body.nominalPrecharge20BarGauge !== undefined)
        await this.dueItems.lockVehicles(tx, await this.types.vehicleIds(tx, gasUnitTypeId));
      const type = await this.types.lock(tx, gasUnitTypeId);
      if (type === null) throw notFound('type of gas unit', gasUnitTypeId);
      expectRevision(type, revision);
      const before = toGasUnitTypeDto(type);
      const patch = isDeepStrictEqual(body.roles, type.roles) ? { ...body, roles: type.roles } : body;
      const changed = applyMergePatch<GasUnitType>(type, patch);
      if (changed.length === 0) return before;
      checkWorkingRange(type.workingPressureLowBarGauge, type.workingPressureHighBarGauge);
      if (changed.includes('roles')) await this.refuseRolesInUse(tx, type);
      type.revision += 1;
      await onConstraint(() => this.types.save(tx, type), {
        gas_unit_types_external_key_key: () => typeKeyTaken(body.externalKey),
      });
      if (changed.includes('nominalPrecharge20BarGauge')) await this.recompute(tx, principal, gasUnitTypeId);
      const after = toGasUnitTypeDto(type);
      await this.audit.record(tx, principal, { ...subject('changed', gasUnitTypeId), before, after });
      return after;
    });
  }

  find(tx: Tx, gasUnitTypeId: string): Promise<GasUnitType | null> {
    return this.types.find(tx, gasUnitTypeId);
  }

  findByCodes(tx: Tx, codes: readonly string[]): Promise<GasUnitType[]> {
    return this.types.findByCodes(tx, codes);
  }

  // A limit may be a share of the nominal precharge. What was moved while the type was waited for is seen here.
  private async recompute(tx: Tx, principal: Principal, gasUnitTypeId: string): Promise<void> {
    const vehicleIds = await this.types.vehicleIds(tx, gasUnitTypeId);
    for (let start = 0; start < vehicleIds.length; start += BATCH)
      await this.dueItems.recompute(tx, principal, vehicleIds.slice(start, start + BATCH));
  }

  private async refuseRolesInUse(tx: Tx, type: GasUnitType): Promise<void> {
    const roleOf = await this.positions.roles(tx);
    const fitted = await this.types.fittedPositions(tx, type.id);
    for (const position of fitted) {
      const role = roleOf.get(position);
      if (role === undefined || type.roles.includes(role)) continue;
      throw roleStillFitted(
        role,
        fitted.filter((each) => roleOf.get(each) === role),
      );
    }
  }
}

function checkWorkingRange(low: number | null, high: number | null): void {
  if (low !== null && high !== null && high <= low) throw workingRangeUpsideDown(low, high);
}

function subject(action: ActionOn<'gas-unit-type'>, subjectId: string) {
  return { action, subjectType: 'gas-unit-type', subjectId } as const;
}
