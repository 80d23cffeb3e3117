import { MAX_ITEMS } from './plan-problem';
import type { PlanState } from './plan-state';

/** Which vehicles of a plan visit each slot, in no order; kept up by whoever changes the plan. */
export class SlotVisitors {
  private readonly visitors: number[][];

  constructor(private readonly state: PlanState) {
    const { slotCount, vehicleCount } = state.compiled;
    this.visitors = Array.from({ length: slotCount }, () => []);
    for (let vehicle = 0; vehicle < vehicleCount; vehicle++) this.enter(vehicle);
  }

  at(slot: number): readonly number[] {
    return this.visitors[slot]!;
  }

  /** Lists the visits of a vehicle, as they stand in the plan now. */
  enter(vehicle: number): void {
    const { visitCount, visitSlot } = this.state;
    for (let visit = 0; visit < visitCount[vehicle]!; visit++)
      this.visitors[visitSlot[vehicle * MAX_ITEMS + visit]!]!.push(vehicle);
  }

  /** Takes them off again; before they are changed. */
  leave(vehicle: number): void {
    const { visitCount, visitSlot } = this.state;
    for (let visit = 0; visit < visitCount[vehicle]!; visit++) {
      const there = this.visitors[visitSlot[vehicle * MAX_ITEMS + visit]!]!;
      const last = there.pop()!;
      const at = there.indexOf(vehicle);
      if (at >= 0) there[at] = last;
    }
  }
}
