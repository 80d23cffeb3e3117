import { Injectable } from '@nestjs/common';
import { AuditTrail } from '../../platform/audit/audit-trail';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { HoldStatusService } from '../due-items/hold-status.service';
import { VehiclePlacesService } from '../due-items/vehicle-places.service';
import type { ListHoldsQueryDto } from './dto/hold-params.dto';
import { toManualHoldDto, type ManualHoldDto } from './dto/manual-hold.dto';
import {
  toHeldVehicleDto,
  toVehicleHoldDto,
  type HeldVehicleDto,
  type VehicleHoldDto,
} from './dto/vehicle-hold.dto';
import type { LiftHoldDto, PlaceHoldDto } from './dto/write-hold.dto';
import { alreadyLifted } from './holds.errors';
import { HoldsRepository } from './holds.repository';

@Injectable()
export class HoldsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly holds: HoldsRepository,
    private readonly status: HoldStatusService,
    private readonly places: VehiclePlacesService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
    private readonly clock: Clock,
  ) {}

  list({ principal }: RequestContext, query: ListHoldsQueryDto): Promise<Page<HeldVehicleDto>> {
    const { limit = 50, cursor, ...filter } = query;
    const bound = { list: 'holds', organisationId: principal.organisationId, filter };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const seen = after === null ? null : String(after[0]);
      const held = await this.status.page(tx, filter, seen, limit + 1);
      return this.cursors.page(held, limit, bound, ({ records }) => [records.vehicleId], toHeldVehicleDto);
    });
  }

  ofVehicle({ principal }: RequestContext, vehicleId: string): Promise<VehicleHoldDto> {
    return this.transactions.read(principal, async (tx) => {
      const [hold] = await this.status.statusOf(tx, [vehicleId]);
      if (hold === undefined) throw notFound('vehicle', vehicleId);
      return toVehicleHoldDto(hold);
    });
  }

  place(context: RequestContext, vehicleId: string, { reason }: PlaceHoldDto): Promise<ManualHoldDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const { fleetId } = await this.places.lock(tx, vehicleId);
      return this.placeIn(tx, principal, { vehicleId, fleetId, reason });
    });
  }

  /** Places a hold in the caller's transaction, which has taken the vehicle. */
  async placeIn(
    tx: Tx,
    principal: Principal,
    { vehicleId, fleetId, reason }: { vehicleId: string; fleetId: string; reason: string },
  ): Promise<ManualHoldDto> {
    const { organisationId, actor } = principal;
    const hold = await this.holds.create(tx, {
      organisationId,
      vehicleId,
      fleetId,
      reason,
      placedBy: actor,
      placedAt: new Date(this.clock.now()),
    });
    const answer = toManualHoldDto(hold);
    await this.audit.record(tx, principal, {
      action: 'placed',
      subjectType: 'hold',
      subjectId: hold.id,
      vehicleId,
      after: answer,
    });
    return answer;
  }

  lift(
    context: RequestContext,
    holdId: string,
    revision: number,
    { reason }: LiftHoldDto,
  ): Promise<ManualHoldDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const hold = await this.holds.lock(tx, holdId);
      if (hold === null) throw notFound('hold', holdId);
      expectRevision(hold, revision);
      if (hold.liftedAt !== null) throw alreadyLifted(hold.liftedBy);
      const before = toManualHoldDto(hold);
      hold.liftedAt = new Date(this.clock.now());
      hold.liftedBy = principal.actor;
      hold.liftReason = reason;
      hold.revision += 1;
      const answer = toManualHoldDto(await this.holds.save(tx, hold));
      await this.audit.record(tx, principal, {
        action: 'lifted',
        subjectType: 'hold',
        subjectId: hold.id,
        vehicleId: hold.vehicleId,
        before,
        after: answer,
      });
      return answer;
    });
  }
}
