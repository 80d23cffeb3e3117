import { Injectable } from '@nestjs/common';
import type { Tx } from '../../platform/database/transactions';
import { namedNotFound } from './downtime-plans.errors';
import type { CreateDowntimePlanDto } from './dto/write-downtime-plan.dto';
import type { DepotRow } from './plan-inputs';
import { PlanInputsRepository } from './plan-inputs.repository';

interface Named {
  pointer: string;
  id: string;
}

/** Looks whether everything that wishes and assumptions name is there. */
@Injectable()
export class NamedInPlanService {
  constructor(private readonly inputs: PlanInputsRepository) {}

  /** @throws CodedError naming the first that is not */
  async check(
    tx: Tx,
    { wishes = {}, assumptions = [] }: CreateDowntimePlanDto,
    depots: readonly DepotRow[],
  ): Promise<void> {
    const { locked = [], forbidden = [] } = wishes;
    const vehicles: Named[] = [
      ...locked.map(({ vehicleId: id }, at) => ({ pointer: `#/wishes/locked/${at}/vehicleId`, id })),
      ...forbidden.map(({ vehicleId: id }, at) => ({ pointer: `#/wishes/forbidden/${at}/vehicleId`, id })),
    ];
    const given = (field: 'workshopId' | 'bayId' | 'depotId'): Named[] =>
      assumptions.flatMap((each, at) => {
        const id = each[field];
        return id === undefined ? [] : [{ pointer: `#/assumptions/${at}/${field}`, id }];
      });
    const workshops = [
      ...locked.map(({ workshopId: id }, at) => ({ pointer: `#/wishes/locked/${at}/workshopId`, id })),
      ...given('workshopId'),
    ];
    const depotIds = depots.map(({ id }) => id);
    const idsOf = (named: readonly Named[]): string[] => named.map(({ id }) => id);
    requireAll(
      'vehicle of these depots',
      vehicles,
      await this.inputs.knownVehicles(tx, depotIds, idsOf(vehicles)),
    );
    requireAll('workshop', workshops, await this.inputs.knownWorkshops(tx, idsOf(workshops)));
    requireAll('bay', given('bayId'), await this.inputs.knownBays(tx, idsOf(given('bayId'))));
    requireAll('depot of this plan', given('depotId'), depotIds);
  }
}

function requireAll(what: string, named: readonly Named[], known: readonly string[]): void {
  const missing = named.find(({ id }) => !known.includes(id));
  if (missing !== undefined) throw namedNotFound(missing.pointer, what, missing.id);
}
