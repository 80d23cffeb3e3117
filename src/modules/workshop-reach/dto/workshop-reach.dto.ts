import type { StoredReach } from '../workshop-reach.repository';
import { ReachableWorkshopDto } from './write-workshop-reach.dto';

/** Which workshops the vehicles of a depot can go to. */
export class WorkshopReachDto {
  depotId!: string;
  /** Nothing was ever set for this depot: its vehicles can go to every workshop, at no cost. */
  isDefault!: boolean;
  /** The nearest first, those that take no work any more included; empty while `isDefault`, which means every workshop. */
  workshops!: ReachableWorkshopDto[];
  /** What to know before a plan follows this, a sentence each. */
  warnings!: string[];
  revision!: number;
}

const NOTHING_SET =
  'Nothing is set for this depot: its vehicles can go to every workshop, at no cost for the way.';

export function toWorkshopReachDto(depotId: string, reach: StoredReach | null): WorkshopReachDto {
  if (reach === null) {
    return { depotId, isDefault: true, workshops: [], warnings: [NOTHING_SET], revision: 0 };
  }
  const { workshops, revision } = reach;
  return { depotId, isDefault: false, workshops, warnings: [], revision };
}
