import { Injectable } from '@nestjs/common';
import { storedProgramme } from '../../core/due/normalise-programme';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import type { RequestContext } from '../../platform/http/request-context';
import type { VehicleDueItemRow } from '../due-items/due-item-row';
import { DueItemsService } from '../due-items/due-items.service';
import type { ProgrammePreviewDto } from './dto/programme-preview.dto';
import type { ComparedItem } from './item-changes';
import { PreviewTally, type ComparedVehicle } from './preview-tally';
import { ServiceProgrammesRepository } from './service-programmes.repository';

const BATCH = 500;

/** What publishing a version would move, before it is published. */
@Injectable()
export class ProgrammePreviewService {
  constructor(
    private readonly transactions: Transactions,
    private readonly programmes: ServiceProgrammesRepository,
    private readonly dueItems: DueItemsService,
  ) {}

  async preview(
    { principal }: RequestContext,
    programmeId: string,
    versionId: string,
    limit: number,
  ): Promise<ProgrammePreviewDto> {
    const version = await this.transactions.read(principal, (tx) =>
      this.programmes.findVersion(tx, programmeId, versionId),
    );
    if (version === null) throw notFound('version of this service programme', versionId);
    const programme = storedProgramme({
      rules: version.rules,
      severityByDutyClass: version.severityByDutyClass,
    });
    const tally = new PreviewTally(limit);
    // a transaction for each batch: a large organisation takes a while, and nobody has to wait for it
    for (let afterId: string | null = null; ;) {
      const seen = afterId;
      const { ids, vehicles, after } = await this.transactions.read(principal, async (tx) => {
        const batch = await this.dueItems.vehicleIds(tx, { programmeId }, seen, BATCH);
        return {
          ids: batch,
          vehicles: await this.vehicles(tx, batch),
          after: await this.dueItems.computeUnder(tx, batch, programme),
        };
      });
      const itemsAfter = new Map<string, ComparedItem[]>(vehicles.map(({ vehicleId }) => [vehicleId, []]));
      for (const { vehicleId, item } of after) itemsAfter.get(vehicleId)?.push(item);
      for (const vehicle of vehicles) tally.add(vehicle, itemsAfter.get(vehicle.vehicleId) ?? []);
      if (ids.length < BATCH) break;
      afterId = ids.at(-1) ?? null;
    }
    const { counts, movedCount } = tally;
    return { programmeId, versionId, counts, moved: tally.moved(), movedCount };
  }

  private async vehicles(tx: Tx, vehicleIds: string[]): Promise<ComparedVehicle[]> {
    const vehicles = new Map<string, ComparedVehicle>();
    for (const row of await this.dueItems.stored(tx, vehicleIds)) {
      const vehicle = vehicles.get(row.vehicleId) ?? vehicleOf(row);
      if (row.details !== null) vehicle.items.push(row.details);
      vehicles.set(row.vehicleId, vehicle);
    }
    return [...vehicles.values()];
  }
}

function vehicleOf(row: VehicleDueItemRow): ComparedVehicle {
  const { vehicleId, registrationMark, fleetNumber, todayOn } = row;
  return { vehicleId, registrationMark, fleetNumber, todayOn, items: [] };
}
