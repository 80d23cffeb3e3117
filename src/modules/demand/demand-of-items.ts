import { demandByMonth } from '../../core/demand/demand-by-month';
import type { DemandItem } from '../../core/demand/demand-item';
import type { DueItem } from '../../core/due/due-item';
import type { Reasoning } from '../../core/due/reasoning';
import type { CalendarDate } from '../../core/shared/calendar-date';
import type { DemandFigureDto, DemandGapDto, MonthlyDemandDto } from './dto/demand.dto';
import { fallsDueOf } from './falls-due-of';
import { repeatsEveryDays } from './repeats-every-days';

/** A stored due item with what its demand hangs on. */
export interface StoredItem {
  details: Omit<DueItem, 'reasoning'>;
  reasoning: Reasoning;
  /** of the gas unit that it is about */
  unitTypeCode: string | null;
  lastMeasuredOn: CalendarDate | null;
}

export interface Demand {
  months: MonthlyDemandDto[];
  itemsCounted: number;
  cannotBeTold: DemandGapDto[];
}

/** Expected work month by month, and what is not in it. */
export function demandOfItems(items: readonly StoredItem[], fromOn: CalendarDate, months: number): Demand {
  const gaps = new Map<string, DemandGapDto>();
  const tell = (code: string, sentence: string): void => {
    const gap = gaps.get(code);
    if (gap === undefined) gaps.set(code, { code, items: 1, sentence });
    else gap.items += 1;
  };
  const counted = items.flatMap((item) => {
    const demand = demandItemOf(item, tell);
    return demand === null ? [] : [{ item, demand }];
  });
  const work = demandByMonth(
    counted.map(({ demand }) => demand),
    fromOn,
    months,
  );
  const units = demandByMonth(
    counted
      .filter(({ item }) => takesAUnit(item))
      .map(({ item, demand }) => ({
        ...demand,
        task: item.unitTypeCode ?? '',
        labourMinutes: null,
        consumables: [],
      })),
    fromOn,
    months,
  );
  return {
    months: work.map((month, at) => ({
      month: month.month,
      fromOn: month.fromOn,
      untilOn: month.untilOn,
      tasks: month.tasks.map(({ task, ...figure }) => ({ task, ...figureOf(figure) })),
      units: (units[at]?.tasks ?? []).map(({ task, ...figure }) => ({
        unitTypeCode: task === '' ? null : task,
        ...figureOf(figure),
      })),
      labourMinutes: figureOf(month.labourMinutes),
      expectedWithoutLabour: month.expectedWithoutLabour,
      consumables: month.consumables.map(({ item, unit, ...figure }) => ({
        item,
        unit,
        ...figureOf(figure),
      })),
    })),
    itemsCounted: counted.length,
    cannotBeTold: [...gaps.values()].sort((a, b) => b.items - a.items || (a.code < b.code ? -1 : 1)),
  };
}

function demandItemOf(
  { details, reasoning, lastMeasuredOn }: StoredItem,
  tell: (code: string, sentence: string) => void,
): DemandItem | null {
  const { key, task, labourMinutes, consumables } = details;
  for (const { code, sentence } of details.missing) tell(code, sentence);
  if (details.dueOn === null && !details.beyondHorizon) return null;
  const fallsDue = fallsDueOf(details, reasoning, lastMeasuredOn);
  if (fallsDue === null) {
    tell('beyond-forecast', 'The forecasts do not reach the due date of this work; it is not counted.');
    return null;
  }
  if (labourMinutes === null) {
    tell('labour-not-stated', 'The service programme does not say how long this work takes.');
  }
  const repeats = repeatsEveryDays(details, reasoning);
  if (repeats === null && details.kind === 'recurring') {
    tell(
      'repetition-not-known',
      'When this work comes back after it was done cannot be told yet; it is counted once.',
    );
  }
  return { code: key, task, labourMinutes, consumables, fallsDue, repeatsEveryDays: repeats };
}

/** Work for which a charged unit has to be at hand: a recharge, or a unit that is too old. */
function takesAUnit({ details, reasoning }: StoredItem): boolean {
  return (
    details.task === 'recharge' ||
    reasoning.limits.some((limit) => 'since' in limit && limit.since === 'manufacture')
  );
}

function figureOf({ expected, low, high, band }: DemandFigureDto): DemandFigureDto {
  return { expected, low, high, band };
}
