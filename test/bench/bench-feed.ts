import { Client } from 'pg';
import type { ChangePageDto } from '../../src/modules/changes/dto/change.dto';
import { createOrganisation, type NewOrganisation } from '../../src/platform/database/create-organisation';
import { openDatabase } from '../../src/platform/database/open-database';
import { BENCH_SECRET, startApi, startBenchPostgres } from './bench-server';
import { median, type Figure } from './figures';

const ROUNDS = 5;
const API_PORT = 3957;
const EVENTS = 20_000;
const PAGE = 500;

/** How many changes a second one client reads that follows the feed from its beginning. */
export async function benchFeed(): Promise<Figure[]> {
  const postgres = await startBenchPostgres();
  try {
    const database = await openDatabase(postgres.url(), BENCH_SECRET, null);
    const organisation = await createOrganisation(database.ownerUrl, 'Feed');
    const api = await startApi(database.ownerUrl, API_PORT, { WORK_IN_API: 'false' });
    const bare = new Client({ connectionString: database.ownerUrl });
    await bare.connect();
    try {
      await record(bare, organisation);
      const ours: number[] = [];
      const theirs: number[] = [];
      for (let round = -1; round < ROUNDS; round++) {
        const ourRate = await rateOf(() => follow(api.address, organisation.administratorKey));
        const bareRate = await rateOf(() => readBare(bare, organisation));
        if (round < 0) continue; // the first round only warms up
        ours.push(ourRate);
        theirs.push(bareRate);
      }
      return [
        {
          key: 'feed_events_per_s',
          value: median(ours),
          unit: '1/s',
          comparison: `${EVENTS} changes over HTTP in pages of ${PAGE}; ${median(theirs).toFixed(0)}/s as rows of a bare client`,
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

async function rateOf(read: () => Promise<number>): Promise<number> {
  const started = performance.now();
  const count = await read();
  if (count !== EVENTS) throw new Error(`${count} changes were read instead of ${EVENTS}`);
  return count / ((performance.now() - started) / 1000);
}

// Changes of vehicles, as large as the API records them.
async function record(client: Client, { organisationId }: NewOrganisation): Promise<void> {
  const vehicle = {
    externalKey: 'V1',
    registrationMark: 'TVP 101',
    fleetNumber: '101',
    vin: 'VF7XD0000N0000001',
    dutyClass: 'normal',
    inServiceOn: '2024-01-10',
    inServiceOdometerKm: 12,
    inServiceEngineHours: null,
    odometerUnit: 'km',
    statedYearlyDistanceKm: 30_000,
    serviceProgrammeId: null,
    retiredOn: null,
    revision: 2,
    createdAt: '2026-11-25T12:00:00.000Z',
    updatedAt: '2026-11-25T12:00:00.000Z',
  };
  await client.query(
    `WITH moment AS MATERIALIZED (SELECT app.transaction_id() AS xid), vehicles AS MATERIALIZED (
      SELECT xid, uuidv7() AS id, uuidv7() AS depot FROM moment, generate_series(1, $2)
    )
    INSERT INTO events (organisation_id, type, subject_type, subject_id, vehicle_id, fleet_id, data, xid)
      SELECT $1, 'vehicle.changed', 'vehicle', id, id, depot,
          jsonb_build_object('id', id, 'fleetId', depot, 'depotId', depot) || $3::jsonb, xid FROM vehicles`,
    [organisationId, EVENTS, JSON.stringify(vehicle)],
  );
  await client.query('VACUUM ANALYZE events');
}

async function follow(address: string, key: string): Promise<number> {
  let count = 0;
  for (let after = ''; ;) {
    const answer = await fetch(`${address}/v1/changes?limit=${PAGE}${after}`, {
      headers: { authorization: `Bearer ${key}` },
    });
    if (answer.status !== 200) throw new Error(`the feed answered ${answer.status}: ${await answer.text()}`);
    const { items, next } = (await answer.json()) as ChangePageDto;
    if (items.length === 0) return count;
    count += items.length;
    after = `&after=${next}`;
  }
}

async function readBare(client: Client, { organisationId }: NewOrganisation): Promise<number> {
  let count = 0;
  for (let last = ['0', '0']; ;) {
    const { rows } = await client.query<{ xid: string; sequence: string }>(
      `SELECT * FROM events WHERE organisation_id = $1 AND (xid, sequence) > ($2, $3)
        ORDER BY xid, sequence LIMIT $4`,
      [organisationId, ...last, PAGE],
    );
    const end = rows.at(-1);
    if (end === undefined) return count;
    count += rows.length;
    last = [end.xid, end.sequence];
  }
}
