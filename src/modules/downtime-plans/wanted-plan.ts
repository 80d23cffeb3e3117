import { addDays } from '../../core/shared/calendar-date';
import { assumptionLacks, outsidePlan } from './downtime-plans.errors';
import type { PlanAssumptionDto, PlanWishesDto } from './dto/write-downtime-plan.dto';
import type { PlanAssumption, PlanWishes } from './plan-wishes';

/** Wishes as they are kept; every day has to lie within the plan. @throws CodedError naming the one that does not */
export function wantedWishes(wishes: PlanWishesDto, fromOn: string, untilOn: string): PlanWishes {
  const locked = wishes.locked ?? [];
  const forbidden = wishes.forbidden ?? [];
  const check = (list: string, days: readonly { on: string }[]): void => {
    days.forEach(({ on }, index) => {
      if (on < fromOn || on >= untilOn)
        throw outsidePlan(`#/wishes/${list}/${index}/on`, on, fromOn, untilOn);
    });
  };
  check('locked', locked);
  check('forbidden', forbidden);
  return {
    locked: locked.map(({ vehicleId, workshopId, on, dueItemKeys }) => ({
      vehicleId,
      workshopId,
      on,
      dueItemKeys,
    })),
    forbidden: forbidden.map(({ vehicleId, on }) => ({ vehicleId, on })),
  };
}

/** @throws CodedError naming the field that its kind needs and that is missing */
export function wantedAssumptions(assumptions: readonly PlanAssumptionDto[]): PlanAssumption[] {
  return assumptions.map((given, index): PlanAssumption => {
    const needed = <Name extends keyof PlanAssumptionDto>(
      name: Name,
    ): NonNullable<PlanAssumptionDto[Name]> => {
      const value = given[name];
      if (value === undefined) throw assumptionLacks(index, given.kind, name);
      return value;
    };
    const { kind } = given;
    switch (kind) {
      case 'more-technicians':
        return {
          kind,
          workshopId: needed('workshopId'),
          count: needed('count'),
          competences: needed('competences'),
        };
      case 'bay-closed':
        return {
          kind,
          workshopId: needed('workshopId'),
          bayId: needed('bayId'),
          fromOn: needed('fromOn'),
          untilOn: needed('untilOn'),
        };
      case 'roster-need':
        return { kind, depotId: needed('depotId'), change: needed('change') };
      case 'later-limit':
        return { kind, task: needed('task'), days: needed('days') };
    }
  });
}

/** Wishes of an earlier plan that still lie within another stretch of days. */
export function wishesWithin({ locked, forbidden }: PlanWishes, fromOn: string, untilOn: string): PlanWishes {
  const isWithin = ({ on }: { on: string }): boolean => fromOn <= on && on < untilOn;
  return { locked: locked.filter(isWithin), forbidden: forbidden.filter(isWithin) };
}

/** The day after the last of a number of days. */
export function untilOnOf(fromOn: string, days: number): string {
  return addDays(fromOn, days);
}
