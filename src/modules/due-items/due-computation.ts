import { dueItemsOf } from '../../core/due/due-items';
import { storedProgramme } from '../../core/due/normalise-programme';
import type { ServiceProgramme } from '../../core/due/rule';
import { defaultUsageModel } from '../../core/usage/usage-model';
import { dueInputOf, type UsageModelOf } from './due-input-of';
import type { DueItemOfVehicle } from './item-changes';
import type { StoredProgrammeVersion, StoredUsageModel, VehicleRecords } from './vehicle-records';

// Versions are never changed once published, so a normalised one can be kept for as long as the process runs.
const normalised = new Map<string, ServiceProgramme>();
const KEPT_AT_MOST = 1_000;

export function programmeOf(version: StoredProgrammeVersion): ServiceProgramme {
  let programme = normalised.get(version.id);
  if (programme === undefined) {
    if (normalised.size >= KEPT_AT_MOST) normalised.clear();
    programme = storedProgramme({ rules: version.rules, severityByDutyClass: version.severityByDutyClass });
    normalised.set(version.id, programme);
  }
  return programme;
}

/** The programme of a version that this process has met before. */
export function knownProgramme(versionId: string): ServiceProgramme | undefined {
  return normalised.get(versionId);
}

/** The fitted model of a fleet and duty class, or the default where none was fitted. */
export function usageModelLookup(stored: readonly StoredUsageModel[]): UsageModelOf {
  const models = new Map(stored.map((one) => [`${one.fleetId} ${one.meter} ${one.dutyClass}`, one.model]));
  const defaults = { odometer: defaultUsageModel('km'), 'engine-hours': defaultUsageModel('h') };
  return (fleetId, meter, dutyClass) => models.get(`${fleetId} ${meter} ${dutyClass}`) ?? defaults[meter];
}

/** The due items of vehicles, from their records alone. A vehicle without a programme owes nothing yet. */
export function computeDueItems(
  records: readonly VehicleRecords[],
  programmes: ReadonlyMap<string, ServiceProgramme>,
  modelOf: UsageModelOf,
): DueItemOfVehicle[] {
  return records.flatMap((vehicle) => {
    const programme =
      vehicle.programmeVersionId === null ? undefined : programmes.get(vehicle.programmeVersionId);
    if (programme === undefined) return [];
    const { vehicleId, fleetId, depotId } = vehicle;
    return dueItemsOf(dueInputOf(vehicle, programme, modelOf)).map((item) => ({
      vehicleId,
      fleetId,
      depotId,
      item,
    }));
  });
}
