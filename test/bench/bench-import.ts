import { Readable } from 'node:stream';
import { setTimeout as sleep } from 'node:timers/promises';
import { pipeline } from 'node:stream/promises';
import { buffer } from 'node:stream/consumers';
import { Client } from 'pg';
import { from as copyFrom, to as copyTo } from 'pg-copy-streams';
import { openDatabase, type OpenDatabase } from '../../src/platform/database/open-database';
import { ImportClient } from '../support/import-client';
import { recomputeOnce } from './bench-due';
import { createBenchFleet, type BenchFleet } from './bench-fleet';
import { BENCH_SECRET, startApi, startBenchPostgres } from './bench-server';
import { median, type Figure } from './figures';

const ROUNDS = 5;
const API_PORT = 3959;
const VEHICLES = 2_000;
const LINES = 10_000;
const FEW_LINES = 20_000;
const MANY_LINES = 200_000;
const LONGEST_MS = 3_600_000;
/** The newest reading on file is as old as this, so that there is room for what is imported. */
const ROOM_MS = 40 * 86_400_000;

/** Where the import of a reading leaves rows, those first that others point to. */
const TABLES = ['odometer_readings', 'due_items', 'import_lines', 'audit_entries', 'events'];
/** What follows an import in its own time: neither it nor its COPY is measured. */
const SEALS = 'audit_seals';

/** How fast a file of readings is imported, and what memory a long one takes. */
export async function benchImport(): Promise<Figure[]> {
  const postgres = await startBenchPostgres();
  try {
    const database = await openDatabase(postgres.url(), BENCH_SECRET, null);
    const [speed, memory] = [await benchSpeed(database), await benchMemory(database)];
    return [speed, memory];
  } finally {
    await postgres.remove();
  }
}

async function benchSpeed(database: OpenDatabase): Promise<Figure> {
  const telematics = await Telematics.of(database);
  const api = await startApi(database.ownerUrl, API_PORT);
  const files = new ImportClient(api.address, telematics.fleet.administratorKey);
  const bare = new Client({ connectionString: database.ownerUrl });
  await bare.connect();
  try {
    const ours: number[] = [];
    const theirs: number[] = [];
    let rows: number[] = [];
    for (let round = -1; round < ROUNDS; round++) {
      const firstXid = await nextXid(bare);
      const ourSeconds = await importSeconds(files, telematics.file(LINES));
      await allSealed(bare);
      const taken = await takeOut(bare, firstXid);
      const bareSeconds = await copySeconds(bare, taken);
      if (process.env.SHOW) console.log(round, ourSeconds, bareSeconds);
      if (round < 0) continue; // the first round only warms up
      ours.push(ourSeconds);
      theirs.push(bareSeconds);
      rows = taken.map((table) => table.rows);
    }
    const stored = TABLES.map((table, index) => `${rows[index] ?? 0} of ${table}`).join(', ');
    return {
      key: 'import_ratio',
      value: median(ours.map((seconds, index) => (theirs[index] ?? NaN) / seconds)),
      unit: '',
      comparison:
        `${(LINES / median(ours)).toFixed(0)} lines/s from the end of the upload; ` +
        `COPY of every row that the import stored into the same tables ${(LINES / median(theirs)).toFixed(0)} lines/s (${stored})`,
    };
  } finally {
    await bare.end();
    await api.stop();
  }
}

async function importSeconds(files: ImportClient, file: string): Promise<number> {
  const { id } = await files.start('odometer-readings', file);
  const started = performance.now();
  const done = await files.ended(id, () => undefined, LONGEST_MS);
  if (done.state !== 'finished' || done.linesCreated !== file.split('\n').length - 2)
    throw new Error(`an import did not store every line: ${JSON.stringify(done)}`);
  return (performance.now() - started) / 1000;
}

async function nextXid(client: Client): Promise<string> {
  const { rows } = await client.query<{ xid: string }>('SELECT pg_current_xact_id()::text AS xid');
  return rows[0]?.xid ?? '';
}

interface TakenRows {
  table: string;
  rows: number;
  text: Buffer;
}

/** Waits until what was recorded is sealed. */
async function allSealed(client: Client): Promise<void> {
  for (;;) {
    const { rows } = await client.query(
      'SELECT FROM audit_entries e WHERE NOT EXISTS (SELECT FROM audit_seals s WHERE s.entry_id = e.id) LIMIT 1',
    );
    if (rows.length === 0) return;
    await sleep(500);
  }
}

/** Takes the rows that were written since then out of the tables, to be put back by COPY. */
async function takeOut(client: Client, firstXid: string): Promise<TakenRows[]> {
  const taken: TakenRows[] = [];
  for (const table of [...TABLES, SEALS]) {
    const written = `${table} WHERE xmin::text::bigint > ${firstXid}`;
    const text = await buffer(client.query(copyTo(`COPY (SELECT * FROM ${written}) TO STDOUT`)));
    taken.push({ table, text, rows: 0 });
  }
  // at once, so that nobody seals anew what is about to go
  await client.query('BEGIN');
  for (const each of taken.toReversed()) {
    const { rowCount } = await client.query(
      `DELETE FROM ${each.table} WHERE xmin::text::bigint > ${firstXid}`,
    );
    each.rows = rowCount ?? 0;
  }
  await client.query('COMMIT');
  for (const table of [...TABLES, SEALS]) await client.query(`VACUUM (ANALYZE) ${table}`);
  return taken;
}

async function copySeconds(client: Client, taken: readonly TakenRows[]): Promise<number> {
  const copy = async (tables: readonly TakenRows[]): Promise<void> => {
    for (const { table, text } of tables)
      await pipeline(Readable.from([text]), client.query(copyFrom(`COPY ${table} FROM STDIN`)));
  };
  await client.query('BEGIN');
  let started = performance.now();
  await copy(taken.filter(({ table }) => table !== SEALS));
  let milliseconds = performance.now() - started;
  await copy(taken.filter(({ table }) => table === SEALS));
  started = performance.now();
  await client.query('COMMIT');
  milliseconds += performance.now() - started;
  return milliseconds / 1000;
}

async function benchMemory(database: OpenDatabase): Promise<Figure> {
  const telematics = await Telematics.of(database);
  const peakMb = async (lines: number): Promise<number> => {
    const api = await startApi(database.ownerUrl, API_PORT);
    try {
      await importSeconds(
        new ImportClient(api.address, telematics.fleet.administratorKey),
        telematics.file(lines),
      );
      return api.peakRssMb();
    } finally {
      await api.stop();
    }
  };
  const few = await peakMb(FEW_LINES);
  const many = await peakMb(MANY_LINES);
  return {
    key: 'import_rss_growth_mb',
    value: many - few,
    unit: 'MB',
    comparison: `most memory of a fresh process: ${few.toFixed(0)} MB for ${FEW_LINES} lines, ${many.toFixed(0)} MB for ${MANY_LINES}`,
  };
}

interface Meter {
  key: string;
  at: number;
  value: number;
  perDay: number;
}

/** Vehicles that report their odometers again and again, all of them each time. */
class Telematics {
  private next = 0;

  private constructor(
    readonly fleet: BenchFleet,
    private readonly meters: readonly Meter[],
  ) {}

  static async of(database: OpenDatabase): Promise<Telematics> {
    const fleet = await createBenchFleet(database.ownerUrl, VEHICLES);
    const client = new Client({ connectionString: database.ownerUrl });
    await client.connect();
    try {
      const telematics = new Telematics(fleet, await metersOf(client, fleet));
      await recomputeOnce(database, fleet);
      return telematics;
    } finally {
      await client.end();
    }
  }

  /** The next readings, in the order of time, so that every vehicle turns up again and again in the file. */
  file(lines: number): string {
    const rounds = lines / this.meters.length;
    const step = ROOM_MS / 150;
    const text: string[] = ['vehicleKey,readAt,source,value,unit\n'];
    for (let round = 0; round < rounds; round++) {
      this.next += 1;
      const days = (this.next * step) / 86_400_000;
      for (const { key, at, value, perDay } of this.meters) {
        const readAt = new Date(at + this.next * step).toISOString();
        text.push(`${key},${readAt},telematics,${(value + perDay * days).toFixed(1)},km\n`);
      }
    }
    return text.join('');
  }
}

/** Makes room for what is to come, gives every vehicle a key, and answers how far each has come. */
async function metersOf(client: Client, { organisationId }: BenchFleet): Promise<Meter[]> {
  await client.query(
    `UPDATE odometer_readings SET read_at = read_at - $2 * interval '1 millisecond' WHERE organisation_id = $1`,
    [organisationId, ROOM_MS],
  );
  await client.query('UPDATE vehicles SET external_key = registration_mark WHERE organisation_id = $1', [
    organisationId,
  ]);
  await client.query('VACUUM (ANALYZE)');
  const { rows } = await client.query<{ key: string; at: Date; value: number; perDay: number }>(
    `SELECT v.external_key AS key, max(r.read_at) AS at, max(r.value) AS value,
        (max(r.value) - min(r.value)) / 1050 AS "perDay"
      FROM odometer_readings r JOIN vehicles v ON v.id = r.vehicle_id WHERE r.organisation_id = $1
      GROUP BY v.external_key ORDER BY 1`,
    [organisationId],
  );
  return rows.map((row) => ({ ...row, at: row.at.getTime() }));
}
