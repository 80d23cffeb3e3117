import { setTimeout as sleep } from 'node:timers/promises';
import { SeededRandom } from '../../src/core/shared/seeded-random';
import { InsistentCaller } from './insistent-caller';
import type { TwoApiProcesses } from './two-api-processes';

const QUARTER_MS = 15 * 60_000;

/** A desk that books vehicles at random, cancels some of it, and keeps what it was promised. */
export class WorkingDesk {
  readonly promised = new Set<string>();
  readonly cancelled = new Set<string>();
  readonly caller: InsistentCaller;
  private readonly random: SeededRandom;
  private readonly mine: { id: string; revision: number }[] = [];

  constructor(
    two: TwoApiProcesses,
    private readonly workshopId: string,
    private readonly vehicleIds: readonly string[],
    number: number,
  ) {
    this.random = new SeededRandom(1_000 + number);
    this.caller = new InsistentCaller(two, number);
  }

  async workUntil(isOver: () => boolean): Promise<void> {
    while (!isOver()) {
      if (this.mine.length > 3 && this.random.next() < 0.4) await this.cancel();
      else await this.book();
    }
  }

  private pick<Value>(list: readonly Value[]): Value {
    return list[this.random.integer(0, list.length - 1)] as Value;
  }

  private async book(): Promise<void> {
    const tomorrow = (Math.floor(Date.now() / 86_400_000) + 1) * 86_400_000;
    const { status, body } = await this.caller.post<{ id: string; revision: number }>('/v1/bookings', {
      vehicleId: this.pick(this.vehicleIds),
      workshopId: this.workshopId,
      startsAt: new Date(tomorrow + this.random.integer(0, 4 * 96) * QUARTER_MS).toISOString(),
      dueItemKeys: [],
      extraWork: [{ title: 'Look it over', minutes: this.pick([30, 60, 240]) }],
    });
    if (status !== 201 && status !== 409)
      throw new Error(`booking answered ${status} ${JSON.stringify(body)}`);
    if (status !== 201) return;
    this.mine.push(body);
    this.promised.add(body.id);
  }

  private async cancel(): Promise<void> {
    const [booking] = this.mine.splice(this.random.integer(0, this.mine.length - 1), 1);
    if (booking === undefined) return;
    this.promised.delete(booking.id);
    const { id, revision } = booking;
    const reason = { reason: 'another day' };
    const ifMatch = { 'if-match': `"r${revision}"` };
    const { status, body } = await this.caller.post(`/v1/bookings/${id}/cancellation`, reason, ifMatch);
    // with its key, a repetition is answered as the first time, and never that somebody else was faster
    if (status !== 200) throw new Error(`cancellation answered ${status} ${JSON.stringify(body)}`);
    this.cancelled.add(id);
  }
}

/** Counts upwards in the fleet number of a vehicle; `acknowledged` is how far it was told to have come. */
export class CountingWriter {
  acknowledged = 0;
  readonly caller: InsistentCaller;

  constructor(
    two: TwoApiProcesses,
    readonly vehicleId: string,
    number: number,
  ) {
    this.caller = new InsistentCaller(two, number);
  }

  async workUntil(isOver: () => boolean): Promise<void> {
    const path = `/v1/vehicles/${this.vehicleId}`;
    for (let value = 1; !isOver(); value++) {
      for (let done = false; !done;) {
        const { body } = await this.caller.get<{ revision: number; fleetNumber: string | null }>(path);
        const ifMatch = { 'if-match': `"r${body.revision}"` };
        // what broke off before may have been committed
        done = body.fleetNumber === String(value);
        if (!done)
          done = (await this.caller.patch(path, { fleetNumber: String(value) }, ifMatch)).status === 200;
      }
      this.acknowledged = value;
      await sleep(50);
    }
  }
}
