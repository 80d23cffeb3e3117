import type { DowntimesRow, RequiredRow, WorkRow } from './downtime.repository';
import type { IndicatorGroup } from './dto/downtime.dto';

export interface GroupName {
  id: string | null;
  name: string | null;
}

/** What indicators are made from. */
export interface MaintenanceRecords {
  required: RequiredRow[];
  downtimes: DowntimesRow[];
  work: WorkRow[];
}

export type GroupRecords = GroupName & MaintenanceRecords;

/**
 * Deals records out to groups, in the order of their names. A vehicle that was in no fleet in the period has none to
 * belong to, but counts for the workshop.
 */
export function intoGroups(
  groupBy: IndicatorGroup,
  names: readonly GroupName[],
  { required, downtimes, work }: MaintenanceRecords,
): GroupRecords[] {
  const groups = new Map(
    names.map((name): [string | null, GroupRecords] => [
      name.id,
      { ...name, required: [], downtimes: [], work: [] },
    ]),
  );
  const ofVehicles = new Map<string, GroupRecords | undefined>();
  if (groupBy !== 'workshop') {
    for (const row of required) {
      const group = groups.get(groupBy === 'none' ? null : row[`${groupBy}Id`]);
      group?.required.push(row);
      ofVehicles.set(row.vehicleId, group);
    }
  }
  const groupOf = (row: DowntimesRow | WorkRow): GroupRecords | undefined =>
    groupBy === 'workshop' ? groups.get(row.workshopId) : ofVehicles.get(row.vehicleId);
  for (const row of downtimes) groupOf(row)?.downtimes.push(row);
  for (const row of work) groupOf(row)?.work.push(row);
  return [...groups.values()];
}
