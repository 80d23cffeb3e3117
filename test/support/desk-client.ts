import { setTimeout as sleep } from 'node:timers/promises';
import { SeededRandom } from '../../src/core/shared/seeded-random';
import type { BookingDto } from '../../src/modules/bookings/dto/booking.dto';
import type { PlannedVisitDto } from '../../src/modules/downtime-plans/dto/planned-visit.dto';
import type { TwoApiProcesses } from './two-api-processes';

const QUARTER = 15 * 60_000;

/** A desk that books customers' vehicles at random where the plan wants to be, and gives some of it back. */
export class DeskClient {
  readonly statuses = new Map<string, number>();
  private readonly random: SeededRandom;
  private readonly mine: BookingDto[] = [];

  /** @param mostAtOnce bookings that it has at once, so that the diary never fills up altogether */
  constructor(
    private readonly two: TwoApiProcesses,
    private readonly number: number,
    private readonly customers: readonly string[],
    private readonly wanted: readonly PlannedVisitDto[],
    private readonly mostAtOnce: number,
  ) {
    this.random = new SeededRandom(2_000 + number);
  }

  async step(): Promise<void> {
    const dice = this.random.next();
    if (this.mine.length < 2 || (dice < 0.6 && this.mine.length < this.mostAtOnce)) await this.book();
    else if (dice < 0.8) await this.move();
    else await this.cancel();
  }

  private pick<T>(list: readonly T[]): T {
    return list[this.random.integer(0, list.length - 1)] as T;
  }

  private someTime(): { workshopId: string; startsAt: string } {
    const { workshopId, on } = this.pick(this.wanted);
    const startsAt = new Date(Date.parse(`${on}T07:00:00Z`) + this.random.integer(0, 35) * QUARTER);
    return { workshopId, startsAt: startsAt.toISOString() };
  }

  private async book(): Promise<void> {
    const extraWork = [{ title: 'Look it over', minutes: this.pick([60, 90, 120, 240]) }];
    const body = { vehicleId: this.pick(this.customers), ...this.someTime(), dueItemKeys: [], extraWork };
    const booking = await this.send('book', 'POST', '/v1/bookings', body);
    if (booking !== null) this.mine.push(booking);
  }

  private async move(): Promise<void> {
    const booking = this.pick(this.mine);
    const moved = await this.send('move', 'PATCH', `/v1/bookings/${booking.id}`, this.someTime(), booking);
    if (moved !== null) this.mine[this.mine.indexOf(booking)] = moved;
  }

  private async cancel(): Promise<void> {
    const booking = this.pick(this.mine);
    const path = `/v1/bookings/${booking.id}/cancellation`;
    await this.send('cancel', 'POST', path, { reason: 'another day' }, booking);
    this.mine.splice(this.mine.indexOf(booking), 1);
  }

  /** @returns null where it was refused, or the process was killed */
  private async send(
    what: string,
    method: 'POST' | 'PATCH',
    path: string,
    body: object,
    { revision }: { revision?: number } = {},
  ): Promise<BookingDto | null> {
    const ifMatch: Record<string, string> = revision === undefined ? {} : { 'if-match': `"r${revision}"` };
    // a process that was killed takes a moment until it listens again
    const answer = await this.two
      .send<BookingDto>(this.number, method, path, body, ifMatch)
      .catch(() => sleep(50).then(() => null));
    const key = `${what} ${answer?.status ?? 'unanswered'}`;
    this.statuses.set(key, (this.statuses.get(key) ?? 0) + 1);
    return answer !== null && answer.status < 300 ? answer.body : null;
  }
}
