import { Injectable } from '@nestjs/common';
import { AuditTrail } from '../../platform/audit/audit-trail';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { applyMergePatch } from '../../platform/http/merge-patch';
import { Cursors, type Page } from '../../platform/http/page';
import type { BulkResult } from '../../platform/bulk/bulk-result';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { DepotsService } from '../depots/depots.service';
import { DueItemsService } from '../due-items/due-items.service';
import { HoldStatusService } from '../due-items/hold-status.service';
import { VehicleLine } from './dto/vehicle-line.dto';
import type { ListVehiclesQueryDto } from './dto/vehicle-query.dto';
import { toVehicleDto, type VehicleDto } from './dto/vehicle.dto';
import type { CreateVehicleDto, UpdateVehicleDto } from './dto/write-vehicle.dto';
import type { Vehicle } from './vehicle.entity';
import { depotOfAnotherFleet, noSuchDepot, noSuchProgramme, vehicleKeyTaken } from './vehicles.errors';
import { VehiclesRepository } from './vehicles.repository';

/** A vehicle as a file names it: found again by the operator's own key. */
export type VehicleRow = CreateVehicleDto & { externalKey: string };

@Injectable()
export class VehiclesService {
  /** how a line of a list of vehicles is checked, for whoever reads such lists */
  readonly lineClass = VehicleLine;

  constructor(
    private readonly transactions: Transactions,
    private readonly vehicles: VehiclesRepository,
    private readonly depots: DepotsService,
    private readonly dueItems: DueItemsService,
    private readonly holds: HoldStatusService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  list({ principal }: RequestContext, query: ListVehiclesQueryDto): Promise<Page<VehicleDto>> {
    const { limit = 50, cursor, ...filter } = query;
    const bound = { list: 'vehicles', organisationId: principal.organisationId, filter };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const { onHold, overdue, vehicleIds, ...record } = filter;
      const among = [
        ...(vehicleIds === undefined ? [] : [{ is: true, vehicleIds }]),
        ...(onHold === undefined
          ? []
          : [{ is: onHold, vehicleIds: await this.holds.vehiclesOnHold(tx, filter) }]),
        ...(overdue === undefined
          ? []
          : [{ is: overdue, vehicleIds: await this.dueItems.vehiclesOverdue(tx, filter) }]),
      ];
      const afterId = after === null ? null : String(after[0]);
      const rows = await this.vehicles.list(tx, { ...record, among }, afterId, limit);
      return this.cursors.page(rows, limit, bound, (row) => [row.id], toVehicleDto);
    });
  }

  get({ principal }: RequestContext, vehicleId: string): Promise<VehicleDto> {
    return this.transactions.read(principal, async (tx) => toVehicleDto(await this.require(tx, vehicleId)));
  }

  create(context: RequestContext, body: CreateVehicleDto): Promise<VehicleDto> {
    return this.transactions.write(context, async (tx) => {
      const vehicle = await this.add(tx, context.principal, body);
      await this.dueItems.recompute(tx, context.principal, [vehicle.id]);
      return toVehicleDto(vehicle);
    });
  }

  update(
    context: RequestContext,
    vehicleId: string,
    revision: number,
    body: UpdateVehicleDto,
  ): Promise<VehicleDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const vehicle = await this.vehicles.lock(tx, vehicleId);
      if (vehicle === null) throw notFound('vehicle', vehicleId);
      expectRevision(vehicle, revision);
      const { answer, changed } = await this.change(tx, principal, vehicle, body);
      if (changed) await this.dueItems.recompute(tx, principal, [vehicleId]);
      return answer;
    });
  }

  /**
   * Adds or changes the vehicles with the given external keys. Columns that a row leaves out stay as they are;
   * due items are the caller's to recompute.
   */
  async writeBatch(tx: Tx, principal: Principal, rows: readonly VehicleRow[]): Promise<BulkResult[]> {
    const known = new Map(
      (
        await this.vehicles.findByExternalKeys(
          tx,
          rows.map(({ externalKey }) => externalKey),
        )
      ).map((vehicle) => [vehicle.externalKey, vehicle]),
    );
    const results: BulkResult[] = [];
    for (const row of rows) {
      const vehicle = known.get(row.externalKey);
      if (vehicle === undefined) {
        const created = await this.add(tx, principal, row);
        known.set(row.externalKey, created);
        results.push({ outcome: 'created', subjectId: created.id, errors: [] });
      } else {
        const { changed } = await this.change(tx, principal, vehicle, row);
        results.push({ outcome: changed ? 'updated' : 'unchanged', subjectId: vehicle.id, errors: [] });
      }
    }
    return results;
  }

  /** @throws CodedError `not-found`, also for a vehicle of somebody else */
  async require(tx: Tx, vehicleId: string): Promise<Vehicle> {
    const vehicle = await this.vehicles.find(tx, vehicleId);
    if (vehicle === null) throw notFound('vehicle', vehicleId);
    return vehicle;
  }

  findByExternalKeys(tx: Tx, externalKeys: readonly string[]): Promise<Vehicle[]> {
    return this.vehicles.findByExternalKeys(tx, externalKeys);
  }

  private async add(tx: Tx, principal: Principal, body: CreateVehicleDto): Promise<Vehicle> {
    const depot = await this.depots.find(tx, body.depotId);
    if (depot === null) throw noSuchDepot(body.depotId);
    const vehicle = await onConstraint(
      () =>
        this.vehicles.create(tx, {
          organisationId: principal.organisationId,
          fleetId: depot.fleetId,
          depotId: depot.id,
          externalKey: body.externalKey ?? null,
          registrationMark: body.registrationMark,
          fleetNumber: body.fleetNumber ?? null,
          vin: body.vin ?? null,
          dutyClass: body.dutyClass,
          inServiceOn: body.inServiceOn ?? null,
          inServiceOdometerKm: body.inServiceOdometerKm ?? null,
          inServiceEngineHours: body.inServiceEngineHours ?? null,
          odometerUnit: body.odometerUnit,
          statedYearlyDistanceKm: body.statedYearlyDistanceKm ?? null,
          serviceProgrammeId: body.serviceProgrammeId ?? null,
        }),
      this.refusals(body),
    );
    await this.audit.record(tx, principal, {
      action: 'created',
      subjectType: 'vehicle',
      subjectId: vehicle.id,
      vehicleId: vehicle.id,
      after: toVehicleDto(vehicle),
    });
    return vehicle;
  }

  private async change(
    tx: Tx,
    principal: Principal,
    vehicle: Vehicle,
    body: UpdateVehicleDto,
  ): Promise<{ answer: VehicleDto; changed: boolean }> {
    const before = toVehicleDto(vehicle);
    const changed = applyMergePatch<Vehicle>(vehicle, body);
    if (changed.length === 0) return { answer: before, changed: false };
    if (changed.includes('depotId')) {
      const depot = await this.depots.find(tx, vehicle.depotId);
      if (depot === null) throw noSuchDepot(vehicle.depotId);
      if (depot.fleetId !== vehicle.fleetId) throw depotOfAnotherFleet(vehicle.depotId);
    }
    vehicle.revision += 1;
    await onConstraint(() => this.vehicles.save(tx, vehicle), this.refusals(body));
    const answer = toVehicleDto(vehicle);
    await this.audit.record(tx, principal, {
      action: 'changed',
      subjectType: 'vehicle',
      subjectId: vehicle.id,
      vehicleId: vehicle.id,
      before,
      after: answer,
    });
    return { answer, changed: true };
  }

  private refusals(body: UpdateVehicleDto) {
    return {
      vehicles_external_key_key: () => vehicleKeyTaken(body.externalKey),
      vehicles_service_programme_fkey: () => noSuchProgramme(body.serviceProgrammeId),
    };
  }
}
