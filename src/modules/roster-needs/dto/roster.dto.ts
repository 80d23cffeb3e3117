import type { RosterNeed } from '../roster-need.entity';
import { NeededByWeekdayDto, RosterExceptionDto, toNeededByWeekdayDto } from './roster-days.dto';

/** How many vehicles a depot needs on the road; a plan takes no more off the road than it can spare. */
export class RosterDto {
  depotId!: string;
  /** Nothing was ever set for this depot: no vehicle is needed on any day. */
  isDefault!: boolean;
  /** Vehicles that the depot needs on the road, by day of the week. */
  neededByWeekday!: NeededByWeekdayDto;
  /** Days on which another number is needed, earliest first. */
  exceptions!: RosterExceptionDto[];
  /** Vehicles that the depot has today, those aside that are retired. */
  vehicleCount!: number;
  /** What to know before a plan follows this roster, a sentence each: needs that exceed the vehicles; that nothing is set. */
  warnings!: string[];
  revision!: number;
}

type Shown = Pick<RosterNeed, 'neededByWeekday' | 'exceptions'> &
  Pick<RosterDto, 'isDefault' | 'vehicleCount' | 'warnings' | 'revision'>;

export function toRosterDto(depotId: string, roster: Shown): RosterDto {
  return {
    depotId,
    isDefault: roster.isDefault,
    neededByWeekday: toNeededByWeekdayDto(roster.neededByWeekday),
    exceptions: roster.exceptions,
    vehicleCount: roster.vehicleCount,
    warnings: roster.warnings,
    revision: roster.revision,
  };
}
