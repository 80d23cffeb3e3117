import { randomUUID } from 'node:crypto';
import { Pool } from 'pg';
import { createOrganisation } from '../../src/platform/database/create-organisation';
import { openDatabase } from '../../src/platform/database/open-database';
import { BENCH_SECRET, startApi, startBenchPostgres } from './bench-server';
import { median, type Figure } from './figures';

const ROUNDS = 5;
const API_PORT = 3954;
const BAYS = 16;
const CLIENTS = 8;
const BOOKINGS_A_ROUND = 400;
const MINUTE = 60_000;

const ALWAYS = [1, 2, 3, 4, 5, 6, 7].map((weekday) => ({
  weekday,
  windows: [{ from: '00:00', until: '24:00' }],
}));

/** How many bookings a second the API takes, against a transaction that only locks, inserts and is guarded. */
export async function benchBooking(): Promise<Figure[]> {
  const postgres = await startBenchPostgres();
  try {
    const database = await openDatabase(postgres.url(), BENCH_SECRET, null);
    const { administratorKey } = await createOrganisation(database.ownerUrl, 'Bookings');
    const api = await startApi(database.ownerUrl, API_PORT, { WORK_IN_API: 'false' });
    const bare = new Pool({ connectionString: database.ownerUrl, max: CLIENTS });
    try {
      const desk = new Desk(api.address, administratorKey);
      const places = await desk.setUp();
      await createBareTables(bare, places);
      const ours: number[] = [];
      const theirs: number[] = [];
      for (let round = -1; round < ROUNDS; round++) {
        const ourRate = await rateOf((turn) => desk.book(places, round + 1, turn));
        const bareRate = await rateOf((turn) => bookBare(bare, places, round + 1, turn));
        if (round < 0) continue; // the first round only warms up
        ours.push(ourRate);
        theirs.push(bareRate);
      }
      return [
        {
          key: 'booking_ratio',
          value: median(ours.map((rate, index) => rate / (theirs[index] ?? NaN))),
          unit: '',
          comparison: `${median(ours).toFixed(0)} bookings/s over HTTP, ${median(theirs).toFixed(0)} bare guarded inserts/s, ${CLIENTS} clients each`,
        },
      ];
    } finally {
      await bare.end();
      await api.stop();
    }
  } finally {
    await postgres.remove();
  }
}

interface Places {
  workshopId: string;
  bayIds: string[];
  technicianIds: string[];
  vehicleIds: string[];
}

/** Which bay and when: every turn of every round is another hour of another bay, so that all of them fit. */
function turnOf(round: number, turn: number): { place: number; startsAt: number } {
  const tomorrow = (Math.floor(Date.now() / (1440 * MINUTE)) + 1) * 1440 * MINUTE;
  const hour = round * Math.ceil(BOOKINGS_A_ROUND / BAYS) + Math.floor(turn / BAYS);
  return { place: turn % BAYS, startsAt: tomorrow + hour * 60 * MINUTE };
}

async function rateOf(book: (turn: number) => Promise<void>): Promise<number> {
  let next = 0;
  const started = performance.now();
  await Promise.all(
    Array.from({ length: CLIENTS }, async () => {
      for (let turn = next++; turn < BOOKINGS_A_ROUND; turn = next++) await book(turn);
    }),
  );
  return BOOKINGS_A_ROUND / ((performance.now() - started) / 1000);
}

class Desk {
  constructor(
    private readonly address: string,
    private readonly key: string,
  ) {}

  async setUp(): Promise<Places> {
    const workshopId = await this.idOf('/v1/workshops', {
      name: 'Bench workshop',
      zone: 'Europe/London',
      weeklyHours: ALWAYS,
      vehicleStay: 'not-at-all',
      minutesBefore: 0,
      minutesAfter: 0,
    });
    const fleetId = await this.idOf('/v1/fleets', { name: 'Bench fleet' });
    const depotId = await this.idOf('/v1/depots', { fleetId, name: 'Depot', zone: 'Europe/London' });
    const places: Places = { workshopId, bayIds: [], technicianIds: [], vehicleIds: [] };
    for (let i = 1; i <= BAYS; i++) {
      const path = `/v1/workshops/${workshopId}`;
      places.bayIds.push(await this.idOf(`${path}/bays`, { name: `Bay ${i}`, kinds: ['flat'] }));
      places.technicianIds.push(
        await this.idOf(`${path}/technicians`, { name: `Technician ${i}`, competences: [], shifts: ALWAYS }),
      );
      places.vehicleIds.push(
        await this.idOf('/v1/vehicles', {
          depotId,
          registrationMark: `BNC ${100 + i}`,
          dutyClass: 'normal',
          odometerUnit: 'km',
        }),
      );
    }
    return places;
  }

  async book(
    { workshopId, bayIds, technicianIds, vehicleIds }: Places,
    round: number,
    turn: number,
  ): Promise<void> {
    const { place, startsAt } = turnOf(round, turn);
    await this.idOf('/v1/bookings', {
      vehicleId: vehicleIds[place],
      workshopId,
      startsAt: new Date(startsAt).toISOString(),
      bayId: bayIds[place],
      technicianIds: [technicianIds[place]],
      dueItemKeys: [],
      extraWork: [{ title: 'Look it over', minutes: 60 }],
    });
  }

  private async idOf(path: string, body: object): Promise<string> {
    const response = await fetch(this.address + path, {
      method: 'POST',
      headers: { authorization: `Bearer ${this.key}`, 'content-type': 'application/json' },
      body: JSON.stringify(body),
    });
    const answer = (await response.json()) as { id?: string };
    if (response.status !== 201 || answer.id === undefined)
      throw new Error(`${path} answered ${response.status} ${JSON.stringify(answer)}`);
    return answer.id;
  }
}

// What a booking cannot do without: its row, what it takes, locks in order, and the guard of the database.
async function createBareTables(pool: Pool, places: Places): Promise<void> {
  await pool.query(`
    CREATE TABLE bare_resources (id uuid PRIMARY KEY);
    CREATE TABLE bare_bookings (id uuid PRIMARY KEY, vehicle_id uuid NOT NULL, starts_at timestamptz NOT NULL, ends_at timestamptz NOT NULL);
    CREATE TABLE bare_allocations (
      booking_id uuid NOT NULL REFERENCES bare_bookings (id), resource_id uuid NOT NULL REFERENCES bare_resources (id),
      starts_at timestamptz NOT NULL, ends_at timestamptz NOT NULL,
      EXCLUDE USING gist (resource_id WITH =, tstzrange(starts_at, ends_at, '[)') WITH &&)
    );
  `);
  await pool.query('INSERT INTO bare_resources SELECT unnest($1::uuid[])', [
    [...places.vehicleIds, ...places.bayIds, ...places.technicianIds],
  ]);
}

async function bookBare(pool: Pool, places: Places, round: number, turn: number): Promise<void> {
  const { place, startsAt } = turnOf(round, turn);
  const resourceIds = [places.vehicleIds[place], places.bayIds[place], places.technicianIds[place]];
  const [from, until] = [new Date(startsAt), new Date(startsAt + 60 * MINUTE)];
  const bookingId = randomUUID();
  const client = await pool.connect();
  try {
    await client.query('BEGIN');
    await client.query('SELECT id FROM bare_resources WHERE id = ANY ($1) ORDER BY id FOR UPDATE', [
      resourceIds,
    ]);
    await client.query('INSERT INTO bare_bookings VALUES ($1, $2, $3, $4)', [
      bookingId,
      resourceIds[0],
      from,
      until,
    ]);
    await client.query('INSERT INTO bare_allocations SELECT $1, r, $3, $4 FROM unnest($2::uuid[]) AS r', [
      bookingId,
      resourceIds,
      from,
      until,
    ]);
    await client.query('COMMIT');
  } finally {
    client.release();
  }
}
