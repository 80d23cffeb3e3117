import { setTimeout as sleep } from 'node:timers/promises';
import type { ImportDto } from '../../src/modules/imports/dto/import.dto';
import { SeededRandom } from '../../src/core/shared/seeded-random';
import { ImportClient } from '../support/import-client';
import { publishProgramme } from '../support/publish-programme';
import { soakOr } from '../support/soak';
import { TwoApiProcesses } from '../support/two-api-processes';

jest.setTimeout(soakOr(3_600_000, 300_000));

const VEHICLES = soakOr(2_000, 100);
const LINES = soakOr(200_000, 8_000);
const KILLS = soakOr(10, 2);
const DAY_MS = 86_400_000;

let two: TwoApiProcesses;
beforeAll(async () => {
  // the first process answers, the second works: it is the one to be killed
  two = await TwoApiProcesses.start(
    'Tarn Valley',
    { WORK_IN_API: 'false' },
    { ofSecond: { WORK_IN_API: 'true' } },
  );
  await publishProgramme(two, [
    { code: 'fluid-change', task: 'fluid-change', everyMonths: 24, everyKm: 40_000 },
  ]);
});
afterAll(() => two.stop());

// in the order of time, so that each vehicle turns up in the whole file
function readings(): string {
  const rounds = LINES / VEHICLES;
  const start = Date.now() - (rounds + 1) * (DAY_MS / 4);
  const lines = Array.from({ length: LINES }, (_, n) => {
    const round = Math.floor(n / VEHICLES);
    const readAt = new Date(start + round * (DAY_MS / 4)).toISOString();
    const vehicleKey = `V${n % VEHICLES}`;
    return JSON.stringify({
      vehicleKey,
      readAt,
      source: 'telematics',
      value: round * 11 + (n % 7),
      unit: 'km',
    });
  });
  return `${lines.join('\n')}\n`;
}

it(`${KILLS} times the worker is killed in the middle of a file of ${LINES} lines: every line is stored once`, async () => {
  const files = (): ImportClient =>
    new ImportClient(two.apis[0]?.address ?? '', two.organisation.administratorKey);
  const json = (rows: object[]): string => rows.map((row) => JSON.stringify(row)).join('\n');
  const ndjson = { format: 'ndjson' } as const;
  await files().run('fleets', json([{ externalKey: 'F1', name: 'Patient transport' }]), ndjson);
  await files().run(
    'depots',
    json([{ externalKey: 'D1', fleetKey: 'F1', name: 'Upper Tarn', zone: 'Europe/London' }]),
    ndjson,
  );
  const vehicles = Array.from({ length: VEHICLES }, (_, n) => ({
    externalKey: `V${n}`,
    depotKey: 'D1',
    registrationMark: `TVP ${n}`,
    dutyClass: 'normal',
    odometerUnit: 'km',
    inServiceOn: '2020-01-01',
  }));
  await files().run('vehicles', json(vehicles), ndjson);

  const file = readings();
  const { id } = await files().start('odometer-readings', file, ndjson);
  const seen: ImportDto[] = [];
  const read = async (): Promise<ImportDto> => {
    const record = await files().json<ImportDto>(`/v1/imports/${id}`);
    seen.push(record);
    return record;
  };
  const random = new SeededRandom(4);
  let killed = 0;
  for (; killed < KILLS; killed++) {
    const target = Math.floor(((killed + 0.5) * LINES) / (KILLS + 1));
    let record = await read();
    while (record.linesRead < target && record.state !== 'finished') {
      await sleep(10);
      record = await read();
    }
    if (record.state === 'finished') break;
    await sleep(random.integer(0, 100));
    await two.killAndRestart(1);
  }
  const ended = await files().ended(id, (record) => seen.push(record));
  expect(ended).toMatchObject({
    state: 'finished',
    linesCreated: LINES,
    linesUnchanged: 0,
    linesRejected: 0,
    byteCount: Buffer.byteLength(file),
    bytesRead: Buffer.byteLength(file),
    linesRead: LINES,
  });
  expect(killed).toBeGreaterThan(0);
  // what had been worked through before a kill was never worked through again
  const steps = seen.map(({ linesRead }) => linesRead);
  expect(steps).toEqual([...steps].sort((a, b) => a - b));
  console.log(`killed ${killed} times, at ${[...new Set(steps)].length} different places of the file seen`);

  const [stored] = await two.sql<Record<string, number>>(
    `SELECT (SELECT count(*)::int FROM odometer_readings) AS readings,
        (SELECT count(DISTINCT (vehicle_id, read_at))::int FROM odometer_readings) AS "differentReadings",
        (SELECT count(*)::int FROM import_lines WHERE import_id = $1) AS lines,
        (SELECT count(*)::int FROM import_chunks) AS chunks,
        (SELECT count(*)::int FROM audit_entries WHERE subject_type = 'odometer-reading') AS entries,
        (SELECT count(*)::int FROM events WHERE subject_type = 'odometer-reading') AS events,
        (SELECT count(*)::int FROM due_items WHERE item_key = 'fluid-change') AS items`,
    [id],
  );
  expect(stored).toEqual({
    readings: LINES,
    differentReadings: LINES,
    lines: LINES,
    chunks: 0,
    entries: LINES,
    events: LINES,
    items: VEHICLES,
  });

  // what is stored is what follows from the records, and the same file says nothing new
  const dueItems = (): Promise<unknown[]> =>
    two.sql(`SELECT vehicle_id, item_key, due_on::text, details::text FROM due_items ORDER BY 1, 2`);
  const before = await dueItems();
  await two.run('recompute.js');
  expect(await dueItems()).toEqual(before);
  const again = await files().run('odometer-readings', file, ndjson);
  expect(again).toMatchObject({
    state: 'finished',
    linesCreated: 0,
    linesUnchanged: LINES,
    linesRejected: 0,
  });
  expect(await dueItems()).toEqual(before);
});
