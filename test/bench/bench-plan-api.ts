import { setTimeout as sleep } from 'node:timers/promises';
import { quantile } from '../../src/core/shared/statistics-quantile';
import { openDatabase } from '../../src/platform/database/open-database';
import { recomputeOnce } from './bench-due';
import { createBenchFleet } from './bench-fleet';
import { BENCH_SECRET, startApi, startBenchPostgres } from './bench-server';
import { median, type Figure } from './figures';

const API_PORT = 3955;
const VEHICLES = 2_000;
const WORKSHOPS = 6;
const BAYS = 6;
const ROUNDS = 3;
const IDLE_SECONDS = 10;
/** Sent whether or not the earlier ones are answered, so that a stall is seen by all who come meanwhile. */
const REQUESTS_A_SECOND = 20;

const OPENING = [1, 2, 3, 4, 5].map((weekday) => ({ weekday, windows: [{ from: '08:00', until: '17:00' }] }));

/** How long one vehicle's due items take from an API process that plans off-road days of a fleet meanwhile. */
export async function benchPlanApi(): Promise<Figure[]> {
  const postgres = await startBenchPostgres();
  try {
    const database = await openDatabase(postgres.url(), BENCH_SECRET, null);
    const fleet = await createBenchFleet(database.ownerUrl, VEHICLES);
    await recomputeOnce(database, fleet);
    const api = await startApi(database.ownerUrl, API_PORT);
    try {
      const planner = new Planner(api.address, fleet.administratorKey);
      await planner.addWorkshops();
      const read = (): Promise<void> => planner.read(`/v1/vehicles/${fleet.vehicleIds[17] ?? ''}/due-items`);
      const idle: number[][] = [];
      const planning: number[][] = [];
      for (let round = -1; round < ROUNDS; round++) {
        const before = await latencies(read, sleep(IDLE_SECONDS * 1000));
        const during = await latencies(read, planner.plan());
        if (round < 0) continue; // the first round only warms up
        idle.push(before);
        planning.push(during);
      }
      const p99 = (rounds: readonly number[][]): number =>
        median(rounds.map((times) => quantile(times, 0.99)));
      const told = (rounds: readonly number[][]): string => {
        const longest = median(rounds.map((times) => Math.max(...times)));
        return `${median(rounds.flat()).toFixed(1)} / ${p99(rounds).toFixed(1)} / ${longest.toFixed(0)} ms`;
      };
      return [
        {
          key: 'plan_api_p99_ratio',
          value: p99(planning) / p99(idle),
          unit: '',
          comparison: `median / p99 / longest of ${REQUESTS_A_SECOND} reads a second: ${told(idle)} idle, ${told(planning)} while the same process plans ${VEHICLES} vehicles`,
        },
      ];
    } finally {
      await api.stop();
    }
  } finally {
    await postgres.remove();
  }
}

/** Milliseconds that each of a steady stream of reads took, for as long as something else takes. */
async function latencies(read: () => Promise<void>, meanwhile: Promise<unknown>): Promise<number[]> {
  const times: number[] = [];
  const state = { isOver: false };
  const timed = async (): Promise<void> => {
    const sentAt = performance.now();
    await read();
    times.push(performance.now() - sentAt);
  };
  const stream = async (): Promise<void> => {
    const reads: Promise<void>[] = [];
    const started = performance.now();
    while (!state.isOver) {
      const dueAt = started + (reads.length * 1000) / REQUESTS_A_SECOND;
      await sleep(Math.max(0, dueAt - performance.now()));
      const reading = timed();
      reading.catch(() => (state.isOver = true)); // told below
      reads.push(reading);
    }
    await Promise.all(reads);
  };
  const ended = meanwhile.finally(() => (state.isOver = true));
  await Promise.all([stream(), ended]);
  return times;
}

interface Plan {
  id: string;
  state: string;
  failure: string | null;
}

class Planner {
  private fleetId = '';

  constructor(
    private readonly address: string,
    private readonly key: string,
  ) {}

  async addWorkshops(): Promise<void> {
    const { items } = await this.send<{ items: { id: string }[] }>('GET', '/v1/fleets');
    this.fleetId = items[0]?.id ?? '';
    for (let at = 1; at <= WORKSHOPS; at++) {
      const { id } = await this.send<{ id: string }>('POST', '/v1/workshops', {
        name: `Workshop ${at}`,
        zone: 'Europe/London',
        weeklyHours: OPENING,
        vehicleStay: 'overnight',
        minutesBefore: 10,
        minutesAfter: 5,
      });
      for (let bay = 1; bay <= BAYS; bay++) {
        await this.send('POST', `/v1/workshops/${id}/bays`, { name: `Lift ${bay}`, kinds: ['lift'] });
        await this.send('POST', `/v1/workshops/${id}/technicians`, {
          name: `Technician ${bay}`,
          competences: [{ code: 'hydraulics' }],
          shifts: OPENING,
        });
      }
    }
  }

  async plan(): Promise<void> {
    const body = { fleetId: this.fleetId, days: 90, effort: 'quick' };
    let plan = await this.send<Plan>('POST', '/v1/downtime-plans', body);
    while (plan.state === 'queued' || plan.state === 'running') {
      await sleep(200);
      plan = await this.send<Plan>('GET', `/v1/downtime-plans/${plan.id}`);
    }
    if (plan.state !== 'ready') throw new Error(`the plan is ${plan.state}: ${plan.failure ?? ''}`);
  }

  async read(path: string): Promise<void> {
    await this.send('GET', path);
  }

  private async send<Body>(method: 'GET' | 'POST', path: string, body?: object): Promise<Body> {
    const response = await fetch(this.address + path, {
      method,
      headers: {
        authorization: `Bearer ${this.key}`,
        ...(body === undefined ? {} : { 'content-type': 'application/json' }),
      },
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    });
    const answer = await response.json();
    if (!response.ok) throw new Error(`${path} answered ${response.status} ${JSON.stringify(answer)}`);
    return answer as Body;
  }
}
