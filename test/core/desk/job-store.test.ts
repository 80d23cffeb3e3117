import { NotReached, ProblemError, type Problem } from '../../../src/desk/api/problem';
import { JobStore, type CompletedJob, type JobPorts } from '../../../src/desk/pages/job-sheets/job/job-store';
import type { Attempt, KeptJob, Sheet, SheetChanges } from '../../../src/desk/pages/job-sheets/job/kept-job';
import { ODOMETER, PRECHARGE, sheet } from './made-jobs';

const KEY = PRECHARGE.key;
const problem = (status: number, errors: Problem['errors'] = []): ProblemError =>
  new ProblemError(status, {
    type: '/problems/validation-failed',
    title: 'Refused',
    status,
    detail: 'Refused.',
    remedy: 'Mend it.',
    instance: '/',
    requestId: '1',
    errors,
  });
const RELEASED = { decision: 'released', reasons: [] } as unknown as CompletedJob;

/** A service, a device and a clock of which the test decides what happens. */
class World {
  stored = sheet();
  device: KeptJob | null = null;
  sent: { changes?: SheetChanges; attempt?: Attempt }[] = [];
  refusals: Error[] = [];
  due: (() => void)[] = [];

  private answer<Value>(value: () => Value): Promise<Value> {
    const refusal = this.refusals.shift();
    return refusal === undefined ? Promise.resolve(value()) : Promise.reject(refusal);
  }

  readonly ports: JobPorts = {
    read: () => Promise.resolve(this.stored),
    store: (revision, changes) => {
      this.sent.push({ changes });
      return this.answer(() => {
        expect(revision).toBe(this.stored.revision);
        const entries = new Map(this.stored.entries.map((entry) => [entry.key, entry]));
        for (const entry of changes.entries ?? []) entries.set(entry.key, entry);
        this.stored = { ...this.stored, ...changes, entries: [...entries.values()], revision: revision + 1 };
        return this.stored;
      });
    },
    complete: (attempt) => {
      this.sent.push({ attempt });
      return this.answer(() => {
        this.stored = { ...this.stored, state: 'completed', decision: 'released' };
        return RELEASED;
      });
    },
    keep: (job) => (this.device = JSON.parse(JSON.stringify(job)) as KeptJob),
    forget: () => (this.device = null),
    later: (_, action) => {
      this.due.push(action);
      return () => (this.due = this.due.filter((each) => each !== action));
    },
    newKey: () => `key-${this.sent.length}`,
  };

  open(fresh: Sheet | null = this.stored): JobStore {
    return new JobStore(this.ports, this.device, fresh);
  }

  /** Lets time pass until nothing is due any more. */
  async pass(): Promise<void> {
    for (let turn = 0; turn < 20; turn++) {
      for (const action of this.due.splice(0)) action();
      await new Promise(setImmediate);
      if (this.refusals.length === 0 && this.due.length === 0) return;
    }
  }
}

it('keeps at once what is typed, and stores it in a pause', async () => {
  const world = new World();
  const store = world.open();
  store.edit(KEY, { pressureBarGauge: 4 });
  store.edit(KEY, { pressureBarGauge: 47 });
  expect(world.device?.edits.entries[KEY]).toEqual({ pressureBarGauge: 47 });
  expect(world.sent).toEqual([]);
  await world.pass();
  expect(world.sent).toHaveLength(1);
  expect(world.stored.entries).toEqual([{ key: KEY, pressureBarGauge: 47 }]);
  expect(store.snapshot()).toMatchObject({ link: 'stored', error: null });
});

it('goes on after a lost connection and a closed page, and stores it once', async () => {
  const world = new World();
  world.refusals = [new NotReached(null)];
  const first = world.open();
  first.edit(ODOMETER.key, { odometer: 61_240 });
  world.due.splice(0).forEach((action) => action());
  await new Promise(setImmediate);
  expect(first.snapshot().link).toBe('not-sent');
  first.close();

  const again = world.open(null);
  expect(again.snapshot()).toMatchObject({ link: 'not-sent' });
  expect(again.snapshot().job.edits.entries[ODOMETER.key]).toEqual({ odometer: 61_240 });
  await again.send();
  await world.pass();
  expect(world.stored.entries).toEqual([{ key: ODOMETER.key, odometer: 61_240 }]);
  expect(again.snapshot().link).toBe('stored');
});

it('merges what somebody else stored meanwhile', async () => {
  const world = new World();
  const store = world.open();
  store.edit(KEY, { pressureBarGauge: 47 });
  world.stored = sheet({ revision: 2, entries: [{ key: KEY, gasTemperatureC: 12 }] });
  world.refusals = [problem(412)];
  await world.pass();
  expect(world.stored.entries).toEqual([{ key: KEY, gasTemperatureC: 12, pressureBarGauge: 47 }]);
});

it('puts a refusal at its field, stores the rest, and tries again once the field is another', async () => {
  const world = new World();
  const store = world.open();
  store.edit(ODOMETER.key, { odometer: 61_240 });
  store.edit(KEY, { pressureBarGauge: 500 });
  world.refusals = [
    problem(422, [{ pointer: '#/entries/1/pressureBarGauge', detail: 'too high', remedy: 'read it again' }]),
  ];
  await world.pass();
  expect(store.snapshot()).toMatchObject({
    link: 'refused',
    faults: [{ stepKey: KEY, field: 'pressureBarGauge', detail: 'too high' }],
  });
  expect(world.stored.entries).toEqual([{ key: ODOMETER.key, odometer: 61_240 }]);
  store.edit(KEY, { pressureBarGauge: 50 });
  expect(store.snapshot().faults).toEqual([]);
  await world.pass();
  expect(world.stored.entries).toHaveLength(2);
});

it('sends a sign-off with one key and one body until it is answered, across a closed page', async () => {
  const world = new World();
  world.refusals = [new NotReached(null), problem(503), new NotReached(null)];
  const first = world.open();
  first.edit(ODOMETER.key, { odometer: 61_240 });
  first.signOff('somebody', null);
  await new Promise(setImmediate);
  first.close();
  const again = world.open(null);
  expect(again.snapshot().job.attempt).not.toBeNull();
  await again.send();
  await world.pass();
  const attempts = world.sent.flatMap(({ attempt }) => attempt ?? []);
  expect(attempts).toHaveLength(4);
  expect(new Set(attempts.map((each) => JSON.stringify(each))).size).toBe(1);
  expect(again.snapshot()).toMatchObject({ completed: RELEASED, link: 'stored' });
  expect(world.device).toBeNull();
});

it('opens the sheet again when a sign-off is refused', async () => {
  const world = new World();
  const store = world.open();
  world.refusals = [
    problem(422, [
      { pointer: '#/entries/0/odometer', detail: 'it is missing', remedy: 'enter it' },
      { pointer: '#/signedOffBy', detail: 'not competent', remedy: 'let Ash sign off' },
    ]),
  ];
  store.signOff('somebody', null);
  await world.pass();
  const { job, faults, link } = store.snapshot();
  expect(job.attempt).toBeNull();
  expect(link).toBe('refused');
  expect(faults.map(({ stepKey, field }) => [stepKey, field])).toEqual([
    [ODOMETER.key, 'odometer'],
    [null, 'signedOffBy'],
  ]);
});
