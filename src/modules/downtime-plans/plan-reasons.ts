import { addDays } from '../../core/shared/calendar-date';
import type { ItemExplanation } from '../../core/downtime-plan/explain-plan';
import { MAX_ITEMS, type PlanDraft } from '../../core/downtime-plan/plan-problem';
import type { BuiltProblem } from './build-plan-problem';
import { conflictOfItem } from './plan-conflicts';
import type { CountedVisit } from './plan-figures';
import type { OwedItem, PlanInputs } from './plan-inputs';
import { dayOf } from './plan-items';
import type { PlanConflict, PlannedItemDetails } from './plan-outcome';
import { explanationInWords, relaxationInWords } from './plan-words';
import type { ItemReason } from './planned-item.entity';
import type { MadePlan } from './make-plan';

type Reason = Pick<PlannedItemDetails, 'because' | 'relaxations'> & { reason: ItemReason };

/** Why each item of a plan is on its day, behind its last one, or left out. */
export class PlanReasons {
  /** By vehicle and parcel: what rules it out whatever the rest of the plan. */
  private readonly conflictOf = new Map<string, PlanConflict>();

  constructor(
    private readonly inputs: PlanInputs,
    private readonly built: BuiltProblem,
    private readonly made: Pick<MadePlan, 'draft' | 'explanations'>,
    visits: readonly CountedVisit[],
  ) {
    for (const { vehicle, item } of notInTime(built, made.draft, visits)) {
      const conflict = conflictOfItem(inputs, built, vehicle, item);
      if (conflict !== null) this.conflictOf.set(keyOf(vehicle, item), conflict);
    }
  }

  get conflicts(): PlanConflict[] {
    return [...this.conflictOf.values()];
  }

  ofPlanned({ vehicle, lastDay, isLocked }: CountedVisit, owed: OwedItem): Reason {
    if (isLocked) return { reason: 'locked', because: 'Locked by hand.', relaxations: [] };
    const { explanation, conflict } = this.found(vehicle, owed);
    const own = ownExplanation(explanation, dayOf(owed.dueOn, this.inputs.fromOn), lastDay);
    const inTime = conflict === null ? [] : ['It cannot be done in time.', ...conflict.facts];
    return {
      reason: own.because === 'closed-on-due-day' ? 'due-day-outside-window' : own.because,
      because: [...inTime, this.inWords(own)].join(' '),
      relaxations: this.relaxations(own),
    };
  }

  /** All that is left out of a vehicle's work. */
  ofLeftOut(vehicle: number): (Reason & { item: OwedItem })[] {
    const { parcels, beyond } = this.built;
    const leftOut = this.made.draft.leftOut.filter((each) => each.vehicle === vehicle);
    return [
      ...leftOut.flatMap(({ item: index }) => {
        const explanation = this.made.explanations[vehicle]![index]!;
        const facts = this.conflictOf.get(keyOf(vehicle, index))?.facts.join(' ');
        const because = facts ?? this.crowdedOut(vehicle, index, explanation);
        const relaxations = this.relaxations(explanation);
        return parcels[vehicle]![index]!.owed.map((item) => ({
          item,
          reason: LEFT_OUT,
          because,
          relaxations,
        }));
      }),
      ...beyond[vehicle]!.map((item) => ({ item, reason: LEFT_OUT, because: BEYOND, relaxations: [] })),
    ];
  }

  /** Why an item is left out that no fact rules out by itself. */
  private crowdedOut(vehicle: number, index: number, explanation: ItemExplanation): string {
    const { parcels } = this.built;
    const leftOut = this.made.draft.leftOut.filter((each) => each.vehicle === vehicle);
    const before = parcels[vehicle]![index]!.item.doFirst.find((first) =>
      leftOut.some(({ item }) => item === first),
    );
    if (before !== undefined)
      return `It has to come after "${parcels[vehicle]![before]!.owed[0]!.title}", which is left out.`;
    if (explanation.because === 'cheaper-this-way') return this.inWords(explanation);
    const remedy = explanation.because === 'runs-short' ? ` ${this.inWords(explanation)}` : '';
    return `No day has room for it beside the rest of the plan.${remedy}`;
  }

  private found(vehicle: number, owed: OwedItem) {
    const index = this.built.parcels[vehicle]!.findIndex((parcel) => parcel.owed.includes(owed));
    return {
      explanation: this.made.explanations[vehicle]![index]!,
      conflict: this.conflictOf.get(keyOf(vehicle, index)) ?? null,
    };
  }

  private inWords(explanation: ItemExplanation): string {
    return explanationInWords(explanation, this.inputs.fromOn, this.inputs.weights.currency);
  }

  private relaxations({ relaxations }: ItemExplanation): PlannedItemDetails['relaxations'] {
    return relaxations.map(({ relaxed, saves, dayThen }) => ({
      what: relaxationInWords(relaxed),
      savesMinor: saves,
      thenOn: dayThen === null ? null : addDays(this.inputs.fromOn, dayThen),
    }));
  }
}

const LEFT_OUT = 'left-out' as const;
const BEYOND =
  `A plan takes ${MAX_ITEMS} pieces of work of one vehicle that share no day, and this is beyond them: ` +
  'plan fewer days at a time, or allow for wider tolerances.';

const keyOf = (vehicle: number, item: number): string => `${vehicle} ${item}`;

/** What is left out, or put behind its last day. */
function notInTime({ problem }: BuiltProblem, { leftOut }: PlanDraft, visits: readonly CountedVisit[]) {
  const late = visits.flatMap(({ vehicle, parcels, lastDay }) =>
    parcels
      .filter((item) => lastDay > problem.vehicles[vehicle]!.items[item]!.latestDay)
      .map((item) => ({ vehicle, item })),
  );
  return [...leftOut, ...late].sort((a, b) => a.vehicle - b.vehicle || a.item - b.item);
}

/** Of several items that a plan takes as one, each is held against its own due day. */
function ownExplanation(explanation: ItemExplanation, dueDay: number, lastDay: number): ItemExplanation {
  const { because } = explanation;
  if (lastDay === dueDay) return { ...explanation, dueDay, because: 'on-due-day', relaxations: [] };
  return { ...explanation, dueDay, because: because === 'on-due-day' ? 'cheaper-this-way' : because };
}
