import { setTimeout as sleep } from 'node:timers/promises';
import { SettledWatch } from '../../src/modules/changes/settled-watch';
import { ChangeClock } from '../../src/platform/database/change-clock';
import { FeedReader } from '../support/feed-reader';
import { Operator } from '../support/operator';
import type { Sent } from '../support/send';
import { startTestApp, type TestApp } from '../support/test-app';

let test: TestApp;
beforeAll(async () => {
  test = await startTestApp({ requestsPerMinute: 10_000_000 });
});
afterAll(() => test.close());

const readerOf = (operator: Operator): FeedReader =>
  new FeedReader(test, operator.organisation.administratorKey);

describe('waiting for changes', () => {
  it('ends when something was recorded', async () => {
    const operator = await Operator.of(test, 'An operator that is waited for');
    const feed = await readerOf(operator).now();
    const waiting = feed.page({ wait: '30' });
    await operator.fleet('Patient transport');
    expect((await waiting).map(({ type }) => type)).toEqual(['fleet.created']);
  });

  it('is woken, not only ended by the clock', async () => {
    const operator = await Operator.of(test, 'An operator that wakes');
    const settled = await test.app.get(ChangeClock).settledBefore();
    // longer than a test may take
    const woken = test.app.get(SettledWatch).moved(settled, 600_000, new AbortController().signal);
    await operator.fleet('Patient transport');
    await expect(woken).resolves.toBeUndefined();
  });

  it('ends without anything when its time is over, with a cursor to go on with', async () => {
    const operator = await Operator.of(test, 'A quiet operator');
    const feed = await readerOf(operator).now();
    expect(await feed.page({ wait: '1' })).toEqual([]);
    await operator.fleet('Patient transport');
    expect(await feed.until(({ length }) => length === 1)).toHaveLength(1);
  });

  it('ends when the reader is gone, and when the process ends', async () => {
    const beside = await startTestApp({}, { beside: test });
    const watch = beside.app.get(SettledWatch);
    const wait = (signal: AbortSignal): Promise<void> => watch.moved('', 600_000, signal);
    jest.spyOn(beside.app.get(ChangeClock), 'settledBefore').mockResolvedValue('');
    const gone = new AbortController();
    const [first, second] = [wait(gone.signal), wait(new AbortController().signal)];
    gone.abort();
    await first;
    expect(watch.count).toBe(1);
    await beside.close();
    await second;
    await wait(new AbortController().signal);
  });

  it('is for ten requests of a key at a time; more are answered at once', async () => {
    const operator = await Operator.of(test, 'An impatient operator');
    let pending = 0;
    const ask = async (): Promise<Sent> => {
      const feed = await readerOf(operator).now();
      pending += 1;
      const answer = await feed.ask({ wait: '30' });
      pending -= 1;
      return answer;
    };
    const ten = Array.from({ length: 10 }, ask);
    while (test.app.get(SettledWatch).count < 10) await sleep(10);
    expect(await ask()).toMatchObject({ status: 200, body: { items: [] } });
    expect(pending).toBe(10);
    await operator.fleet('Patient transport');
    for (const { body } of await Promise.all(ten)) expect(body.items).toHaveLength(1);
  });
});
