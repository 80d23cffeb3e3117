import type { FleetDueItemDto } from '../../src/modules/due-items/dto/due-item.dto';
import { DueItemsService } from '../../src/modules/due-items/due-items.service';
import type { ProgrammeVersionDto } from '../../src/modules/service-programmes/dto/programme-version.dto';
import type { RuleDto } from '../../src/modules/service-programmes/dto/rule.dto';
import type { ServiceProgrammeDto } from '../../src/modules/service-programmes/dto/service-programme.dto';
import type {
  RecordedTaskCompletionDto,
  TaskCompletionDto,
  TaskCompletionPageDto,
} from '../../src/modules/task-completions/dto/task-completion.dto';
import type { TaskCompletionRow } from '../../src/modules/task-completions/plan-task-completions';
import { TaskCompletionsService } from '../../src/modules/task-completions/task-completions.service';
import type { BulkResult } from '../../src/platform/bulk/bulk-result';
import type { NewOrganisation } from '../../src/platform/database/create-organisation';
import { Transactions } from '../../src/platform/database/transactions';
import { systemPrincipal } from '../../src/platform/security/principal';
import { addKey, apiClient, asOwner, type ApiClient, type CallOptions } from '../support/api-client';
import { startTestApp, type TestApp } from '../support/test-app';

let test: TestApp;
let organisation: NewOrganisation;
let api: ApiClient;
let fleetId: string;
let depotId: string;
beforeAll(async () => {
  test = await startTestApp();
  organisation = await test.organisation('Tarn Valley Patient Transport');
  api = apiClient(test, organisation.administratorKey);
  ({ fleetId, depotId } = await setUp(api));
});
afterAll(() => test.close());

const rules: RuleDto[] = [
  {
    code: 'fluid-change',
    task: 'fluid-change',
    everyMonths: 24,
    everyKm: 60_000,
    satisfies: ['filter-clean'],
    tolerance: { earlyDays: 30, lateDays: 14 },
  },
  { code: 'filter-clean', task: 'filter-clean', everyMonths: 12 },
  { code: 'reserve-check', task: 'brake-reserve-check', everyMonths: 12, safetyCritical: true },
  {
    code: 'reserve-after-work',
    task: 'brake-reserve-check',
    kind: 'follow-up',
    followUp: { afterTask: 'pressure-supply-work', days: 0 },
  },
  { code: 'unit-test', task: 'unit-precharge-test', scope: 'unit', everyMonths: 24 },
];

async function setUp(client: ApiClient): Promise<{ fleetId: string; depotId: string }> {
  const programme = await client.ok<ServiceProgrammeDto>('post', '/v1/service-programmes', {
    body: { name: 'Minibuses', rules },
  });
  const version = `/v1/service-programmes/${programme.id}/versions/${programme.latestVersion?.id ?? ''}`;
  const { etag } = await client.call<ProgrammeVersionDto>('get', version);
  await client.ok('post', `${version}/publish`, { ifMatch: etag, body: { effectiveOn: '2026-11-25' } });
  const fleet = await client.ok<{ id: string }>('post', '/v1/fleets', {
    body: { name: 'Patient transport', serviceProgrammeId: programme.id },
  });
  const depot = await client.ok<{ id: string }>('post', '/v1/depots', {
    body: { name: 'Upper Tarn', zone: 'Europe/London', fleetId: fleet.id },
  });
  return { fleetId: fleet.id, depotId: depot.id };
}

let marks = 100;
async function vehicle(facts: object = {}): Promise<string> {
  marks += 1;
  const { id } = await api.ok<{ id: string }>('post', '/v1/vehicles', {
    body: {
      depotId,
      registrationMark: `TVP ${marks}`,
      dutyClass: 'normal',
      odometerUnit: 'km',
      inServiceOn: '2024-03-01',
      statedYearlyDistanceKm: 20_000,
      ...facts,
    },
  });
  return id;
}

const record = (vehicleId: string, body: object): Promise<RecordedTaskCompletionDto> =>
  api.ok<RecordedTaskCompletionDto>('post', `/v1/vehicles/${vehicleId}/task-completions`, { body });

async function itemsOf(vehicleId: string): Promise<Map<string, FleetDueItemDto>> {
  const { items } = await api.ok<{ items: FleetDueItemDto[] }>('get', `/v1/vehicles/${vehicleId}/due-items`);
  return new Map(items.map((item) => [item.key, item]));
}

const dump = (): Promise<object[]> =>
  asOwner(
    test,
    organisation.organisationId,
    `SELECT vehicle_id, item_key, driver, due_on::text, late_on::text, details::text, reasoning::text
      FROM due_items WHERE organisation_id = $1 ORDER BY vehicle_id, item_key`,
    [organisation.organisationId],
  );

const addReading = (vehicleId: string, readAt: string, value: number): Promise<object[]> =>
  asOwner(
    test,
    organisation.organisationId,
    `INSERT INTO odometer_readings (organisation_id, vehicle_id, fleet_id, meter, value, unit, read_at, source, state)
      VALUES ($1, $2, $3, 'odometer', $4, 'km', $5, 'driver', 'accepted')`,
    [organisation.organisationId, vehicleId, fleetId, value, readAt],
  );

const transactions = () => test.app.get(Transactions);
const completions = () => test.app.get(TaskCompletionsService);
const dueItems = () => test.app.get(DueItemsService);
const worker = () => systemPrincipal(organisation.organisationId, 'importing');

describe('recording work', () => {
  it('settles what it satisfies, and says so', async () => {
    const vehicleId = await vehicle();
    const done = await record(vehicleId, {
      task: 'fluid-change',
      doneOn: '2026-02-10',
      odometerValue: 38_000,
    });
    expect(done).toMatchObject({
      task: 'fluid-change',
      odometerUnit: 'km',
      voidedAt: null,
      warnings: [],
      raises: [],
    });
    // by hand: before it 24 and 12 months from 2024-03-01, after it from 2026-02-10
    expect(done.clears).toEqual([
      expect.objectContaining({
        key: 'filter-clean',
        dueOnBefore: '2025-03-01',
        dueOnAfter: '2027-02-10',
        comesBack: true,
      }),
      expect.objectContaining({
        key: 'fluid-change',
        dueOnBefore: '2026-03-01',
        dueOnAfter: '2028-02-10',
        comesBack: true,
      }),
    ]);
    const items = await itemsOf(vehicleId);
    expect(items.get('fluid-change')).toMatchObject({ dueOn: '2028-02-10', dueOdometerKm: 98_000 });
    expect(items.get('reserve-check')).toMatchObject({ dueOn: '2025-03-01', state: 'overdue' });

    const older = await record(vehicleId, { task: 'fluid-change', doneOn: '2025-01-10' });
    expect(older.clears).toEqual([]);

    const unit = await record(vehicleId, {
      task: 'unit-precharge-test',
      position: 'suspension-front-left',
      doneOn: '2026-03-01',
    });
    expect(unit.clears.map(({ key }) => key)).toEqual(['unit-test@suspension-front-left']);
    const everywhere = await record(vehicleId, { task: 'unit-precharge-test', doneOn: '2026-04-01' });
    expect(everywhere.clears.map(({ position }) => position)).toEqual(
      [
        'main-accumulator',
        'rear-brake-accumulator',
        'suspension-front-left',
        'suspension-front-right',
        'suspension-rear-left',
        'suspension-rear-right',
      ].filter((position) => items.get(`unit-test@${position}`)?.state !== undefined),
    );
  });

  it('brings about the checks that follow it, once and again', async () => {
    const vehicleId = await vehicle();
    const work = await record(vehicleId, { task: 'pressure-supply-work', doneOn: '2026-05-01' });
    expect(work).toMatchObject({
      clears: [],
      raises: [{ key: 'reserve-after-work', task: 'brake-reserve-check', dueOn: '2026-05-01' }],
      warnings: [],
    });
    const again = await record(vehicleId, { task: 'pressure-supply-work', doneOn: '2026-06-01' });
    expect(again).toMatchObject({ clears: [], raises: [{ key: 'reserve-after-work', dueOn: '2026-06-01' }] });
    const check = await record(vehicleId, { task: 'brake-reserve-check', doneOn: '2026-06-01' });
    expect(check.raises).toEqual([]);
    expect(check.clears).toEqual([
      expect.objectContaining({
        key: 'reserve-after-work',
        dueOnBefore: '2026-06-01',
        dueOnAfter: null,
        comesBack: false,
      }),
      expect.objectContaining({ key: 'reserve-check', dueOnBefore: '2025-03-01', dueOnAfter: '2027-06-01' }),
    ]);
  });

  it('accepts dirty history with warnings', async () => {
    const vehicleId = await vehicle();
    await addReading(vehicleId, '2025-01-01T12:00:00Z', 20_000);
    await addReading(vehicleId, '2026-01-01T12:00:00Z', 40_000);
    const fits = await record(vehicleId, {
      task: 'fluid-change',
      doneOn: '2025-06-01',
      odometerValue: 19_995,
    });
    expect(fits.warnings).toEqual([]);
    const low = await record(vehicleId, {
      task: 'fluid-change',
      doneOn: '2025-06-02',
      odometerValue: 19_980,
    });
    expect(low.warnings).toEqual([
      'odometerValue: 19980 km in all is less than the earlier reading of 20000 km on 2025-01-01',
    ]);
    // 24,860 miles are 40,008.3 km: within the 10 km; a hundred miles more are not
    const miles = { task: 'filter-clean', doneOn: '2025-06-03', odometerUnit: 'mi' };
    expect((await record(vehicleId, { ...miles, odometerValue: 24_860 })).warnings).toEqual([]);
    const high = await record(vehicleId, { ...miles, odometerValue: 24_960 });
    expect(high.warnings).toEqual([
      'odometerValue: 40169.2 km in all is more than the later reading of 40000 km on 2026-01-01',
    ]);
    const unknown = await record(vehicleId, { task: 'wash', position: 'roof', doneOn: '2025-06-04' });
    expect(unknown.clears).toEqual([]);
    expect(unknown.warnings).toEqual([
      `task: no rule of the vehicle's service programme asks for "wash"; known tasks: ` +
        'brake-reserve-check, filter-clean, fluid-change, pressure-supply-work, unit-precharge-test',
      expect.stringMatching(/^position: .*"roof".*suspension-front-left/) as string,
    ]);
    // the engine marks what it counts from
    expect((await itemsOf(vehicleId)).get('fluid-change')?.marks).toContain('odometer-contradicts-readings');

    const { id: fleetWithout } = await api.ok<{ id: string }>('post', '/v1/fleets', {
      body: { name: 'No rules yet' },
    });
    const depot = await api.ok<{ id: string }>('post', '/v1/depots', {
      body: { name: 'Lower Tarn', zone: 'Europe/London', fleetId: fleetWithout },
    });
    const free = await vehicle({ depotId: depot.id });
    expect((await record(free, { task: 'wash', doneOn: '2025-06-04' })).warnings).toEqual([
      'task: no service programme is in force for the vehicle, so nothing is settled',
    ]);
  });

  it('counts the odometer of the instrument that was in the vehicle', async () => {
    // worked example: changed at 81,250 km, the new one began at 12 and shows 3,412: 84,650 km in all
    const vehicleId = await vehicle();
    await addReading(vehicleId, '2025-01-01T12:00:00Z', 60_000);
    await asOwner(
      test,
      organisation.organisationId,
      `INSERT INTO odometer_replacements (organisation_id, vehicle_id, fleet_id, meter, replaced_at, old_final_value,
          old_unit, new_initial_value, new_unit)
        VALUES ($1, $2, $3, 'odometer', '2026-01-15T12:00:00Z', 81250, 'km', 12, 'km')`,
      [organisation.organisationId, vehicleId, fleetId],
    );
    const done = await record(vehicleId, {
      task: 'fluid-change',
      doneOn: '2026-03-01',
      odometerValue: 3_412,
    });
    expect(done).toMatchObject({ odometerValue: 3_412, warnings: [] });
    expect((await itemsOf(vehicleId)).get('fluid-change')?.dueOdometerKm).toBe(144_650);
  });

  it('refuses what cannot be, and names the field', async () => {
    const vehicleId = await vehicle();
    const path = `/v1/vehicles/${vehicleId}/task-completions`;
    const good = { task: 'fluid-change', doneOn: '2026-02-10' };
    const refusals: [object, string][] = [
      [{ ...good, doneOn: '2026-11-26' }, '#/doneOn'],
      [{ ...good, doneOn: '2024-02-29' }, '#/doneOn'],
      [{ ...good, doneOn: '2026-02-30' }, '#/doneOn'],
      [{ task: 'fluid-change' }, '#/doneOn'],
      [{ doneOn: '2026-02-10' }, '#/task'],
      [{ ...good, task: 'Fluid change' }, '#/task'],
      [{ ...good, position: 'Front left' }, '#/position'],
      [{ ...good, odometerUnit: 'km' }, '#/odometerUnit'],
      [{ ...good, odometerValue: 10, odometerUnit: 'h' }, '#/odometerUnit'],
      [{ ...good, odometerValue: -1 }, '#/odometerValue'],
      [{ ...good, odometerValue: '40,000' }, '#/odometerValue'],
      [{ ...good, engineHours: -1 }, '#/engineHours'],
      [{ ...good, doneBy: '' }, '#/doneBy'],
      [{ ...good, note: 'x'.repeat(2001) }, '#/note'],
      [{ ...good, externalKey: 'x'.repeat(101) }, '#/externalKey'],
      [{ ...good, colour: 'red' }, '#/colour'],
    ];
    for (const [body, pointer] of refusals) {
      expect([body, ...(await api.refused('post', path, { body }))]).toEqual([body, 422, pointer]);
    }
    expect(await api.ok('get', path)).toEqual({ items: [], next: null });
  });

  it('is recorded once under an idempotency key, and once under an external key', async () => {
    const vehicleId = await vehicle();
    const path = `/v1/vehicles/${vehicleId}/task-completions`;
    const body = { task: 'fluid-change', doneOn: '2026-02-10', externalKey: 'job-1' };
    const first = await api.call('post', path, { body, idempotencyKey: 'completion-1' });
    const again = await api.call('post', path, { body, idempotencyKey: 'completion-1' });
    expect(first.status).toBe(201);
    expect(again.body).toEqual(first.body);
    expect(await api.refused('post', path, { body })).toEqual([409, '#/externalKey']);
    expect((await api.ok<TaskCompletionPageDto>('get', path)).items).toHaveLength(1);
  });
});

describe('the history', () => {
  it('is listed newest first, by task, in pages; what is voided counts no more', async () => {
    const vehicleId = await vehicle();
    const path = `/v1/vehicles/${vehicleId}/task-completions`;
    const days = ['2025-01-01', '2026-02-10', '2025-06-01', '2026-02-10'];
    const ids: string[] = [];
    for (const doneOn of days) ids.push((await record(vehicleId, { task: 'fluid-change', doneOn })).id);
    const other = await record(vehicleId, { task: 'wash', doneOn: '2026-01-01' });
    const seen: string[] = [];
    for (let next: string | null = ''; next !== null;) {
      const page: TaskCompletionPageDto = await api.ok(
        'get',
        `${path}?limit=2${next === '' ? '' : `&cursor=${encodeURIComponent(next)}`}`,
      );
      expect(page.items.length).toBeLessThanOrEqual(2);
      seen.push(...page.items.map(({ id }) => id));
      ({ next } = page);
    }
    expect(seen).toEqual([ids[3], ids[1], other.id, ids[2], ids[0]]);
    const washes = await api.ok<TaskCompletionPageDto>('get', `${path}?task=wash`);
    expect(washes.items.map(({ id }) => id)).toEqual([other.id]);
    expect((await api.call('get', `${path}?task=No%20Code`)).status).toBe(422);

    expect((await itemsOf(vehicleId)).get('fluid-change')?.dueOn).toBe('2028-02-10');
    const body = { reason: 'wrong vehicle' };
    for (const id of [ids[1], ids[3]]) {
      const one = `/v1/task-completions/${id ?? ''}`;
      const read = await api.call<TaskCompletionDto>('get', one);
      expect(read.body).toMatchObject({ id, voidedAt: null, revision: 1 });
      expect(await api.refused('post', `${one}/void`, { body })).toEqual([428]);
      expect(await api.refused('post', `${one}/void`, { ifMatch: '"r9"', body })).toEqual([412]);
      expect(await api.refused('post', `${one}/void`, { ifMatch: read.etag, body: {} })).toEqual([
        422,
        '#/reason',
      ]);
      const voided = await api.call<TaskCompletionDto>('post', `${one}/void`, { ifMatch: read.etag, body });
      expect(voided).toMatchObject({
        status: 200,
        body: { voidedAt: '2026-11-25T12:00:00.000Z', voidReason: 'wrong vehicle', revision: 2 },
      });
      expect(await api.refused('post', `${one}/void`, { ifMatch: voided.etag, body })).toEqual([409]);
      expect(await api.ok('get', one)).toEqual(voided.body);
    }
    // back to 2025-06-01
    expect((await itemsOf(vehicleId)).get('fluid-change')?.dueOn).toBe('2027-06-01');
    const counted = await api.ok<TaskCompletionPageDto>('get', `${path}?task=fluid-change`);
    expect(counted.items.map(({ id }) => id)).toEqual([ids[2], ids[0]]);
    const all = await api.ok<TaskCompletionPageDto>('get', `${path}?task=fluid-change&includeVoided=true`);
    expect(all.items).toHaveLength(4);

    const audit = await asOwner<{ action: string }>(
      test,
      organisation.organisationId,
      `SELECT action FROM audit_entries WHERE subject_id = $1 ORDER BY id`,
      [ids[1]],
    );
    expect(audit.map(({ action }) => action)).toEqual(['created', 'voided']);

    const stored = await dump();
    await dueItems().recomputeInBatches(worker());
    expect(await dump()).toEqual(stored);
  });

  it("is nobody else's", async () => {
    const vehicleId = await vehicle();
    const { id } = await record(vehicleId, { task: 'fluid-change', doneOn: '2026-02-10' });
    const stranger = apiClient(test, (await test.organisation('Strangers')).administratorKey);
    const elsewhere = await api.ok<{ id: string }>('post', '/v1/fleets', { body: { name: 'Elsewhere' } });
    const limited = apiClient(test, await addKey(test, organisation, 'technician', [elsewhere.id]));
    const calls: ['get' | 'post', string, CallOptions][] = [
      ['get', `/v1/vehicles/${vehicleId}/task-completions`, {}],
      [
        'post',
        `/v1/vehicles/${vehicleId}/task-completions`,
        { body: { task: 'wash', doneOn: '2026-02-10' } },
      ],
      ['get', `/v1/task-completions/${id}`, {}],
      ['post', `/v1/task-completions/${id}/void`, { ifMatch: '"r1"', body: { reason: 'mine' } }],
    ];
    for (const [method, address, options] of calls) {
      for (const client of [stranger, limited]) {
        expect([address, ...(await client.refused(method, address, options))]).toEqual([address, 404]);
      }
    }
    const technician = apiClient(test, await addKey(test, organisation, 'technician', [fleetId]));
    expect((await technician.call(...calls[1]!)).status).toBe(201);
    expect(await apiClient(test, 'pk_none').refused(...calls[0]!)).toEqual([401]);
  });
});

describe('a batch', () => {
  const write = (rows: TaskCompletionRow[]): Promise<BulkResult[]> =>
    transactions().read(worker(), async (tx) => {
      await dueItems().lockVehicles(
        tx,
        rows.map((row) => row.vehicleId),
      );
      return completions().writeBatch(tx, worker(), rows);
    });
  const outcomes = (results: BulkResult[]): string[] =>
    results.map(({ outcome, errors }) => [outcome, ...errors.map(({ pointer }) => pointer ?? '')].join(' '));

  it('creates, corrects and refuses row by row, and changes nothing when it is repeated', async () => {
    const [one, two] = [await vehicle(), await vehicle({ odometerUnit: 'mi', inServiceOn: null })];
    const rows: TaskCompletionRow[] = [
      {
        vehicleId: one,
        task: 'fluid-change',
        doneOn: '2026-01-01',
        odometerValue: 38_000,
        externalKey: 'h-1',
      },
      { vehicleId: one, task: 'fluid-change', doneOn: '2026-01-01', odometerValue: 38_000 },
      {
        vehicleId: two,
        task: 'fluid-change',
        doneOn: '2019-01-01',
        odometerValue: 9_000,
        note: 'from paper',
      },
      {
        vehicleId: two,
        task: 'fluid-change',
        doneOn: '2019-01-01',
        odometerValue: 9_000,
        odometerUnit: 'mi',
      },
      { vehicleId: two, task: 'fluid-change', doneOn: '2019-01-01', odometerUnit: 'km' },
      { vehicleId: one, task: 'wash', doneOn: '2026-11-26' },
      { vehicleId: one, task: 'wash', doneOn: '2024-02-29' },
      { vehicleId: fleetId, task: 'wash', doneOn: '2026-01-01' },
      { vehicleId: two, task: 'wash', doneOn: '2026-01-01', externalKey: 'h-1' },
      {
        vehicleId: one,
        task: 'unit-precharge-test',
        position: 'suspension-rear-left',
        doneOn: '2026-01-02',
        engineHours: 900,
      },
    ];
    const first = await write(rows);
    const rejected = [
      'rejected #/doneOn',
      'rejected #/doneOn',
      'rejected #/vehicleKey',
      'rejected #/externalKey',
    ];
    expect(outcomes(first)).toEqual([
      'created',
      'unchanged',
      'created',
      'unchanged',
      'created',
      ...rejected,
      'created',
    ]);
    expect(first[1]?.subjectId).toBe(first[0]?.subjectId);
    expect(first[3]?.subjectId).toBe(first[2]?.subjectId);
    const paths = [one, two].map((id) => `/v1/vehicles/${id}/task-completions`);
    const read = () => Promise.all(paths.map((path) => api.ok<TaskCompletionPageDto>('get', path)));
    const before = await read();
    expect(before[1]?.items.map(({ odometerValue, odometerUnit }) => [odometerValue, odometerUnit])).toEqual([
      [null, null],
      [9_000, 'mi'],
    ]);

    const again = await write(rows);
    expect(outcomes(again)).toEqual([
      ...Array.from({ length: 5 }, () => 'unchanged'),
      ...rejected,
      'unchanged',
    ]);
    expect(again.map(({ subjectId }) => subjectId)).toEqual(first.map(({ subjectId }) => subjectId));
    expect(await read()).toEqual(before);

    const corrected = await write([
      { ...rows[0]!, odometerValue: 38_100 },
      { ...rows[0]!, odometerValue: 38_100 },
    ]);
    expect(outcomes(corrected)).toEqual(['updated', 'unchanged']);
    expect(await api.ok('get', `/v1/task-completions/${first[0]?.subjectId ?? ''}`)).toMatchObject({
      odometerValue: 38_100,
      revision: 2,
    });

    const voided = `/v1/task-completions/${first[9]?.subjectId ?? ''}/void`;
    await api.ok('post', voided, { ifMatch: '"r1"', body: { reason: 'not done' } });
    const keyed = `/v1/task-completions/${first[0]?.subjectId ?? ''}/void`;
    await api.ok('post', keyed, { ifMatch: '"r2"', body: { reason: 'not done' } });
    expect(outcomes(await write([rows[9]!, { ...rows[0]!, odometerValue: 38_100 }, rows[0]!]))).toEqual([
      'unchanged',
      'unchanged',
      'rejected #/externalKey',
    ]);
  });

  it('takes a thousand rows in a handful of statements', async () => {
    const ids = await Promise.all(Array.from({ length: 10 }, () => vehicle()));
    const rows = Array.from({ length: 1000 }, (_, index): TaskCompletionRow => ({
      vehicleId: ids[index % ids.length] ?? '',
      task: 'fluid-change',
      doneOn: `2025-${String(1 + (index % 12)).padStart(2, '0')}-${String(1 + (index % 28)).padStart(2, '0')}`,
      odometerValue: 1000 + index,
      externalKey: `bulk-${index}`,
    }));
    let statements = 0;
    const results = await transactions().read(worker(), async (tx) => {
      const runner = tx.queryRunner!;
      const query = runner.query.bind(runner);
      const counting = jest.spyOn(runner, 'query').mockImplementation((...args: Parameters<typeof query>) => {
        statements += 1;
        return query(...args);
      });
      const written = await completions().writeBatch(tx, worker(), rows);
      counting.mockRestore();
      return written;
    });
    expect(new Set(outcomes(results))).toEqual(new Set(['created']));
    expect(statements).toBeGreaterThan(0);
    expect(statements).toBeLessThanOrEqual(6);
    // of two on one day the row that came later is the later record
    const inOrder = results.map(({ subjectId }) => subjectId ?? '');
    expect(inOrder).toEqual([...inOrder].sort());
  });
});
