import { Injectable } from '@nestjs/common';
import { deriveFromLayout } from '../../core/hydraulics/derive-from-layout';
import { UNVERIFIED_LAYOUT } from '../../core/hydraulics/hydraulic-layout';
import { Transactions } from '../../platform/database/transactions';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import type { ToInspectQueryDto } from './dto/hydraulic-system-params.dto';
import { toVehicleToInspectDto, type VehicleToInspectDto } from './dto/vehicle-to-inspect.dto';
import { INSPECTION_URGENCIES, urgencyOf } from './inspection-urgency';
import { VehiclesToInspectRepository, type KnownLayout } from './vehicles-to-inspect.repository';

@Injectable()
export class VehiclesToInspectService {
  constructor(
    private readonly transactions: Transactions,
    private readonly vehicles: VehiclesToInspectRepository,
    private readonly cursors: Cursors,
  ) {}

  list({ principal }: RequestContext, query: ToInspectQueryDto): Promise<Page<VehicleToInspectDto>> {
    const { limit = 50, cursor, ...filter } = query;
    const bound = { list: 'to-inspect', organisationId: principal.organisationId, filter };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const ranks = (await this.vehicles.distinctLayouts(tx, filter)).flatMap(rankOf);
      const seen = after === null ? null : { rank: Number(after[0]), vehicleId: String(after[1]) };
      const rows = await this.vehicles.list(tx, filter, ranks, seen, limit);
      return this.cursors.page(
        rows,
        limit,
        bound,
        ({ rank, vehicleId }) => [rank, vehicleId],
        toVehicleToInspectDto,
      );
    });
  }
}

function rankOf({ signature, layout, evidence }: KnownLayout): { signature: string; rank: number }[] {
  const urgency = urgencyOf(deriveFromLayout(layout ?? UNVERIFIED_LAYOUT, { evidence }));
  return urgency === null ? [] : [{ signature, rank: INSPECTION_URGENCIES.indexOf(urgency) }];
}
