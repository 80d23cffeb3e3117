import { randomUUID } from 'node:crypto';
import autocannon from 'autocannon';
import { NestFactory } from '@nestjs/core';
import { Client } from 'pg';
import { AppModule } from '../../src/app.module';
import { itemsOfVehicle } from '../../src/modules/due-items/due-items.repository';
import { DueItemsService } from '../../src/modules/due-items/due-items.service';
import { readConfig } from '../../src/platform/config/config';
import { openDatabase, type OpenDatabase } from '../../src/platform/database/open-database';
import { createLogger } from '../../src/platform/observability/logging';
import { parseApiKey } from '../../src/platform/security/api-key-token';
import { systemPrincipal } from '../../src/platform/security/principal';
import { createBenchFleet, type BenchFleet } from './bench-fleet';
import { BENCH_SECRET, startApi, startBenchPostgres, startProcess } from './bench-server';
import { median, type Figure } from './figures';

const ROUNDS = 5;
const API_PORT = 3952;
const BARE_PORT = 3953;

/** The due list: reading it, moving it by a reading, and computing all of it again. */
export async function benchDue(): Promise<Figure[]> {
  const postgres = await startBenchPostgres();
  try {
    const database = await openDatabase(postgres.url(), BENCH_SECRET, null);
    const small = await createBenchFleet(database.ownerUrl, 2_000);
    await recomputeOnce(database, small);
    const serving = await benchServing(database, small);
    const large = await createBenchFleet(database.ownerUrl, 20_000);
    return [...serving, ...(await benchRecompute(database, small, large))];
  } finally {
    await postgres.remove();
  }
}

async function benchServing(database: OpenDatabase, fleet: BenchFleet): Promise<Figure[]> {
  const api = await startApi(database.ownerUrl, API_PORT, { WORK_IN_API: 'false' });
  const token = parseApiKey(fleet.administratorKey);
  if (token === null) throw new Error('the key of the bench organisation cannot be read');
  const vehicleId = fleet.vehicleIds[17] ?? '';
  const { sql } = itemsOfVehicle(vehicleId, '');
  const bare = await startProcess(
    [
      'test/bench/bare-read-server.js',
      database.appUrl,
      fleet.organisationId,
      token.apiKeyId,
      sql,
      String(BARE_PORT),
    ],
    {},
    BARE_PORT,
    `/v1/vehicles/${vehicleId}/due-items`,
  );
  try {
    const path = `/v1/vehicles/${vehicleId}/due-items`;
    const headers = { authorization: `Bearer ${fleet.administratorKey}` };
    const [ours, theirs] = await Promise.all([
      fetch(api.address + path, { headers }).then((response) => response.text()),
      fetch(bare.address + path).then((response) => response.text()),
    ]);
    if (ours !== theirs) throw new Error('the two servers do not answer the same');

    const apiRates: number[] = [];
    const bareRates: number[] = [];
    for (let round = -1; round < ROUNDS; round++) {
      const apiRate = await requestsPerSecond(api.address + path, headers);
      const bareRate = await requestsPerSecond(bare.address + path, {});
      if (round < 0) continue; // the first round only warms up
      apiRates.push(apiRate);
      bareRates.push(bareRate);
    }
    const rssLoad = api.rssMb();
    const readRatio = median(apiRates.map((rate, index) => rate / (bareRates[index] ?? NaN)));
    const write = await benchWrite(api.address, database, fleet);
    return [
      {
        key: 'read_ratio',
        value: readRatio,
        unit: '',
        comparison: `${median(apiRates).toFixed(0)} requests/s, bare node:http + pg ${median(bareRates).toFixed(0)}`,
      },
      write,
      { key: 'rss_load_mb', value: rssLoad, unit: 'MB', comparison: 'API process after the reads' },
    ];
  } finally {
    await Promise.all([api.stop(), bare.stop()]);
  }
}

async function requestsPerSecond(url: string, headers: Record<string, string>): Promise<number> {
  const result = await autocannon({ url, headers, connections: 10, duration: 3 });
  if (result.non2xx > 0 || result.errors > 0)
    throw new Error(`${url}: ${result.non2xx} refusals, ${result.errors} errors`);
  return result.requests.average;
}

const WRITES_A_ROUND = 60;

async function benchWrite(address: string, database: OpenDatabase, fleet: BenchFleet): Promise<Figure> {
  const client = new Client({ connectionString: database.ownerUrl });
  await client.connect();
  await client.query(
    'CREATE TABLE bare_insert (id uuid PRIMARY KEY, vehicle_id uuid NOT NULL, value double precision NOT NULL, read_at timestamptz NOT NULL)',
  );
  const { rows } = await client.query<{ id: string; value: number }>(
    `SELECT vehicle_id AS id, max(value) AS value FROM odometer_readings WHERE organisation_id = $1 AND vehicle_id = ANY ($2)
      GROUP BY vehicle_id ORDER BY vehicle_id`,
    [fleet.organisationId, fleet.vehicleIds.slice(0, WRITES_A_ROUND)],
  );
  const ratios: number[] = [];
  const apiTimes: number[] = [];
  const bareTimes: number[] = [];
  for (let round = -1; round < ROUNDS; round++) {
    const ours: number[] = [];
    const theirs: number[] = [];
    for (const { id, value } of rows) {
      const body = JSON.stringify({
        value: value + round + 2,
        unit: 'km',
        source: 'driver-sheet',
        readAt: new Date().toISOString(),
      });
      let started = performance.now();
      const response = await fetch(`${address}/v1/vehicles/${id}/odometer-readings`, {
        method: 'POST',
        headers: { authorization: `Bearer ${fleet.administratorKey}`, 'content-type': 'application/json' },
        body,
      });
      const answer = (await response.json()) as { state?: string };
      ours.push(performance.now() - started);
      if (response.status !== 201 || answer.state !== 'accepted')
        throw new Error(`a reading was not accepted: ${JSON.stringify(answer)}`);

      started = performance.now();
      await client.query('BEGIN');
      await client.query(
        'INSERT INTO bare_insert (id, vehicle_id, value, read_at) VALUES ($1, $2, $3, now())',
        [randomUUID(), id, value],
      );
      await client.query('COMMIT');
      theirs.push(performance.now() - started);
    }
    if (round < 0) continue; // the first round only warms up
    apiTimes.push(median(ours));
    bareTimes.push(median(theirs));
    ratios.push(median(ours) / median(theirs));
  }
  await client.end();
  return {
    key: 'write_ratio',
    value: median(ratios),
    unit: '',
    comparison: `${median(apiTimes).toFixed(2)} ms for a reading and its due items, bare insert transaction ${median(bareTimes).toFixed(2)} ms`,
  };
}

export async function recomputeOnce(database: OpenDatabase, fleet: BenchFleet): Promise<void> {
  await withDueItems(database, (dueItems) =>
    dueItems.recomputeInBatches(systemPrincipal(fleet.organisationId, 'bench')),
  );
}

async function withDueItems<T>(
  database: OpenDatabase,
  work: (dueItems: DueItemsService) => Promise<T>,
): Promise<T> {
  const config = { ...readConfig({ LOG_LEVEL: 'warn' }), statementTimeoutMs: 300_000 };
  const app = await NestFactory.createApplicationContext(
    AppModule.with(database, config, createLogger('warn')),
    {
      logger: false,
    },
  );
  try {
    return await work(app.get(DueItemsService));
  } finally {
    await app.close();
  }
}

const REWRITE = `INSERT INTO due_items SELECT * FROM due_items WHERE organisation_id = $1
  ON CONFLICT ON CONSTRAINT due_items_item_key DO UPDATE SET
    (fleet_id, depot_id, task, position, safety_critical, driver, early_on, due_on, late_on, details, reasoning) =
    (excluded.fleet_id, excluded.depot_id, excluded.task, excluded.position, excluded.safety_critical, excluded.driver,
     excluded.early_on, excluded.due_on, excluded.late_on, excluded.details, excluded.reasoning)`;

function benchRecompute(database: OpenDatabase, small: BenchFleet, large: BenchFleet): Promise<Figure[]> {
  return withDueItems(database, async (dueItems) => {
    const owner = new Client({ connectionString: database.ownerUrl });
    await owner.connect();
    const recompute = async (fleet: BenchFleet, versionId: string): Promise<number> => {
      // the other version moves every window, so that every row has to be written
      await owner.query('UPDATE service_programmes SET current_version_id = $2 WHERE organisation_id = $1', [
        fleet.organisationId,
        versionId,
      ]);
      await owner.query('VACUUM (ANALYZE) due_items');
      const started = performance.now();
      await dueItems.recomputeInBatches(systemPrincipal(fleet.organisationId, 'bench'));
      return (performance.now() - started) / 1000;
    };
    const rewrite = async (fleet: BenchFleet): Promise<number> => {
      await owner.query('VACUUM (ANALYZE) due_items');
      const started = performance.now();
      await owner.query(REWRITE, [fleet.organisationId]);
      return (performance.now() - started) / 1000;
    };
    const times: { small: number; large: number; rewrite: number }[] = [];
    for (let round = 0; round <= ROUNDS; round++) {
      const version = round % 2;
      times.push({
        small: await recompute(small, small.versionIds[version] ?? ''),
        large: await recompute(large, large.versionIds[version] ?? ''),
        rewrite: await rewrite(large),
      });
    }
    await owner.end();
    times.shift(); // the first round fills the tables
    return recomputeFigures(times, small.vehicleIds.length, large.vehicleIds.length);
  });
}

function recomputeFigures(
  times: readonly { small: number; large: number; rewrite: number }[],
  smallCount: number,
  largeCount: number,
): Figure[] {
  const small = median(times.map((round) => round.small));
  const large = median(times.map((round) => round.large));
  const rewrite = median(times.map((round) => round.rewrite));
  return [
    {
      key: 'recompute_ratio',
      value: median(times.map((round) => round.large / round.rewrite)),
      unit: '',
      comparison: `20,000 vehicles x 8 rules in ${large.toFixed(2)} s, one INSERT ... SELECT of the same rows ${rewrite.toFixed(2)} s`,
    },
    { key: 'recompute_items_per_s', value: (largeCount * 8) / large, unit: 'items/s', comparison: '' },
    {
      key: 'recompute_growth',
      value: Math.log(large / small) / Math.log(largeCount / smallCount),
      unit: '',
      comparison: `exponent from 2,000 vehicles (${small.toFixed(2)} s) to 20,000`,
    },
  ];
}
