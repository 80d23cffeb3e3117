import { Injectable } from '@nestjs/common';
import { AuditTrail } from '../../platform/audit/audit-trail';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { applyMergePatch } from '../../platform/http/merge-patch';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { DepotsService } from '../depots/depots.service';
import { DueItemsService } from '../due-items/due-items.service';
import type { ListVehiclesQueryDto } from './dto/vehicle-query.dto';
import { toVehicleDto, type VehicleDto } from './dto/vehicle.dto';
import type { CreateVehicleDto, UpdateVehicleDto } from './dto/write-vehicle.dto';
import type { Vehicle } from './vehicle.entity';
import { depotOfAnotherFleet, noSuchDepot, noSuchProgramme, vehicleKeyTaken } from './vehicles.errors';
import { VehiclesRepository } from './vehicles.repository';

@Injectable()
export class VehiclesService {
  constructor(
    private readonly transactions: Transactions,
    private readonly vehicles: VehiclesRepository,
    private readonly depots: DepotsService,
    private readonly dueItems: DueItemsService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  list({ principal }: RequestContext, query: ListVehiclesQueryDto): Promise<Page<VehicleDto>> {
    const { limit = 50, cursor, ...filter } = query;
    const bound = { list: 'vehicles', organisationId: principal.organisationId, filter };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const rows = await this.vehicles.list(tx, filter, after === null ? null : String(after[0]), limit);
      return this.cursors.page(rows, limit, bound, (row) => [row.id], toVehicleDto);
    });
  }

  get({ principal }: RequestContext, vehicleId: string): Promise<VehicleDto> {
    return this.transactions.read(principal, async (tx) => toVehicleDto(await this.require(tx, vehicleId)));
  }

  create(context: RequestContext, body: CreateVehicleDto): Promise<VehicleDto> {
    return this.transactions.write(context, async (tx) => {
      const answer = await this.add(tx, context.principal, body);
      await this.dueItems.recompute(tx, context.principal, [answer.id]);
      return answer;
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

  /** Adds or changes the vehicle with this external key. Its due items are the caller's to recompute. */
  async upsert(
    tx: Tx,
    principal: Principal,
    body: CreateVehicleDto & { externalKey: string },
  ): Promise<{ id: string; outcome: 'created' | 'updated' | 'unchanged' }> {
    const known = await this.vehicles.findByExternalKey(tx, body.externalKey);
    if (known === null) return { id: (await this.add(tx, principal, body)).id, outcome: 'created' };
    const { changed } = await this.change(tx, principal, known, body);
    return { id: known.id, outcome: changed ? 'updated' : 'unchanged' };
  }

  /** @throws CodedError `not-found`, also for a vehicle of somebody else */
  async require(tx: Tx, vehicleId: string): Promise<Vehicle> {
    const vehicle = await this.vehicles.find(tx, vehicleId);
    if (vehicle === null) throw notFound('vehicle', vehicleId);
    return vehicle;
  }

  findByExternalKey(tx: Tx, externalKey: string): Promise<Vehicle | null> {
    return this.vehicles.findByExternalKey(tx, externalKey);
  }

  private async add(tx: Tx, principal: Principal, body: CreateVehicleDto): Promise<VehicleDto> {
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
    const answer = toVehicleDto(vehicle);
    await this.audit.record(tx, principal, {
      action: 'created',
      subjectType: 'vehicle',
      subjectId: vehicle.id,
      vehicleId: vehicle.id,
      after: answer,
    });
    return answer;
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
