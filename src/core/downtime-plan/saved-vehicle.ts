import { MAX_ITEMS } from './plan-problem';
import type { PlanState } from './plan-state';

/** The plan of one vehicle, to put it back as it was. */
export class SavedVehicle {
  private visitCount = 0;
  private leftOut = 0;
  private readonly slots = new Int32Array(MAX_ITEMS);
  private readonly masks = new Int32Array(MAX_ITEMS);

  save({ visitCount, leftOut, visitSlot, visitMask }: PlanState, vehicle: number): void {
    this.visitCount = visitCount[vehicle]!;
    this.leftOut = leftOut[vehicle]!;
    for (let visit = 0; visit < this.visitCount; visit++) {
      this.slots[visit] = visitSlot[vehicle * MAX_ITEMS + visit]!;
      this.masks[visit] = visitMask[vehicle * MAX_ITEMS + visit]!;
    }
  }

  restore(state: PlanState, vehicle: number): void {
    state.visitCount[vehicle] = this.visitCount;
    state.leftOut[vehicle] = this.leftOut;
    for (let visit = 0; visit < this.visitCount; visit++) {
      state.visitSlot[vehicle * MAX_ITEMS + visit] = this.slots[visit]!;
      state.visitMask[vehicle * MAX_ITEMS + visit] = this.masks[visit]!;
    }
    state.enter(vehicle);
  }
}
