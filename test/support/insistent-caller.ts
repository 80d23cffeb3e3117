import { randomUUID } from 'node:crypto';
import { setTimeout as sleep } from 'node:timers/promises';
import type { Answer, TwoApiProcesses } from './two-api-processes';

/** A caller who repeats what was not answered, at the other process, until it is: as the documents tell integrators to do. */
export class InsistentCaller {
  private turn: number;
  /** requests that broke off, or that were answered 503 or "still running" */
  repeated = 0;

  constructor(
    private readonly two: TwoApiProcesses,
    number: number,
  ) {
    this.turn = number;
  }

  /** A POST, with one Idempotency-Key for all its repetitions. */
  post<Body>(path: string, body: object, headers: Record<string, string> = {}): Promise<Answer<Body>> {
    return this.insist('POST', path, body, { ...headers, 'idempotency-key': randomUUID() });
  }

  get<Body>(path: string): Promise<Answer<Body>> {
    return this.insist('GET', path, undefined, {});
  }

  patch<Body>(path: string, body: object, headers: Record<string, string>): Promise<Answer<Body>> {
    return this.insist('PATCH', path, body, headers);
  }

  private async insist<Body>(
    method: 'GET' | 'POST' | 'PATCH',
    path: string,
    body: object | undefined,
    headers: Record<string, string>,
  ): Promise<Answer<Body>> {
    for (;;) {
      // null where it was killed in the middle: whether it was done is for the next answer to say
      const answer = await this.two
        .send<Body & { type?: string }>(this.turn, method, path, body, headers)
        .catch(() => null);
      const isOver = answer !== null && answer.status !== 503;
      if (isOver && answer.body.type !== '/problems/request-in-progress') return answer;
      this.repeated += 1;
      this.turn += 1;
      await sleep(50);
    }
  }
}
