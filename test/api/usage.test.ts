import { addDays, fromEpochDay, toEpochDay } from '../../src/core/shared/calendar-date';
import type { VehicleDueItemsDto } from '../../src/modules/due-items/dto/due-item.dto';
import type { UsageDto } from '../../src/modules/due-items/dto/usage.dto';
import { DueItemsService } from '../../src/modules/due-items/due-items.service';
import type { DutyChangeDto, DutyChangePageDto } from '../../src/modules/duty-changes/dto/duty-change.dto';
import { DutyChangesService } from '../../src/modules/duty-changes/duty-changes.service';
import { OdometerReadingsService } from '../../src/modules/odometer-readings/odometer-readings.service';
import type { OffRoadPeriodDto } from '../../src/modules/off-road-periods/dto/off-road-period.dto';
import { OffRoadPeriodsService } from '../../src/modules/off-road-periods/off-road-periods.service';
import type { RefittedFleetDto, UsageModelPageDto } from '../../src/modules/usage-models/dto/usage-model.dto';
import type { BulkResult } from '../../src/platform/bulk/bulk-result';
import { Transactions, type Tx } from '../../src/platform/database/transactions';
import { systemPrincipal } from '../../src/platform/security/principal';
import { simulateVehicle } from '../core/usage/simulated-vehicle';
import { type ApiClient } from '../support/api-client';
import { Operator } from '../support/operator';
import { startTestApp, type TestApp } from '../support/test-app';

const TODAY = '2026-11-25';
let served: TestApp;
let operator: Operator;
let stranger: Operator;
let api: ApiClient;
let fleetId: string;
let depotId: string;
beforeAll(async () => {
  served = await startTestApp();
  operator = await Operator.of(served, 'Tarn Valley Patient Transport');
  stranger = await Operator.of(served, 'Fell Side Coaches');
  api = operator.admin;
  await operator.follows([
    {
      code: 'fluid-change',
      task: 'fluid-change',
      everyMonths: 24,
      everyKm: 120_000,
      severityByDutyClass: { 'urban-stop-start': 0.7 },
    },
  ]);
  fleetId = await operator.fleet('Patient transport');
  depotId = await operator.depot(fleetId, 'Upper Tarn');
});
afterAll(() => served.close());

let marks = 100;
function vehicle(more: object = {}): Promise<string> {
  marks += 1;
  return operator.vehicle(depotId, `TVP ${marks}`, {
    inServiceOn: '2025-08-31',
    inServiceOdometerKm: 0,
    ...more,
  });
}

const worker = () => systemPrincipal(operator.organisationId, 'importing');
const inBatch = (write: (tx: Tx) => Promise<BulkResult[]>): Promise<BulkResult[]> =>
  served.app.get(Transactions).write({ principal: worker(), idempotency: null }, write);
const outcomesOf = (results: BulkResult[]) =>
  results.map(({ outcome, errors }) => [outcome, ...errors.map(({ pointer }) => pointer)]);

async function read(
  vehicleId: string,
  points: readonly (readonly [on: string, km: number])[],
): Promise<void> {
  await inBatch(async (tx) => {
    const rows = points.map(([on, value]) => ({
      vehicleId,
      readAt: `${on}T08:00:00Z`,
      value,
      source: 'workshop',
    }));
    const results = await served.app.get(OdometerReadingsService).writeBatch(tx, worker(), rows);
    expect(results.filter(({ outcome }) => outcome !== 'created')).toEqual([]);
    await served.app.get(DueItemsService).recompute(tx, worker(), [vehicleId]);
    return results;
  });
}
/** 80 km a day, ending at 96,080 km. */
const fortnights = (until: string, count = 20): [string, number][] =>
  Array.from({ length: count }, (_, index) => {
    const days = 14 * (count - 1 - index);
    return [addDays(until, -days), 96_080 - 80 * days];
  });

const usage = (vehicleId: string, query = ''): Promise<UsageDto> =>
  api.ok<UsageDto>('get', `/v1/vehicles/${vehicleId}/usage${query}`);
async function firstItem(vehicleId: string) {
  const { items } = await api.ok<VehicleDueItemsDto>('get', `/v1/vehicles/${vehicleId}/due-items`);
  return items[0]!;
}

describe('duty changes', () => {
  it('shorten what severity shortens, and lengthen it again when taken back', async () => {
    const vehicleId = await vehicle();
    expect((await firstItem(vehicleId)).dueOn).toBe('2027-08-31');
    const path = `/v1/vehicles/${vehicleId}/duty-changes`;
    const body = { fromOn: '2026-10-01', dutyClass: 'urban-stop-start', note: 'moved to the city run' };
    const change = await api.ok<DutyChangeDto>('post', path, { body });
    expect(change).toMatchObject({ ...body, vehicleId, externalKey: null, revision: 1 });
    // worked by hand: 24 months x 0.7 are 16 months and 24 days
    expect((await firstItem(vehicleId)).dueOn).toBe('2027-01-24');
    const one = `/v1/duty-changes/${change.id}`;
    expect(await api.ok('get', one)).toEqual(change);
    expect(await api.refused('delete', one)).toEqual([428]);
    expect(await api.refused('delete', one, { ifMatch: '"r2"' })).toEqual([412]);
    expect(await stranger.admin.refused('delete', one, { ifMatch: '"r1"' })).toEqual([404]);
    expect((await api.call('delete', one, { ifMatch: '"r1"' })).status).toBe(204);
    expect((await firstItem(vehicleId)).dueOn).toBe('2027-08-31');
    const trail = await operator.sql<{ action: string }>(
      'SELECT action FROM audit_entries WHERE subject_id = $1 ORDER BY id',
      [change.id],
    );
    expect(trail.map(({ action }) => action)).toEqual(['created', 'deleted']);
  });

  it('start today at the depot at the latest', async () => {
    // 12:00 UTC on the 25th is the 26th already where the day begins 14 hours earlier
    const eastern = await operator.depot(fleetId, 'Far East', 'Pacific/Kiritimati');
    const there = await operator.vehicle(eastern, 'TVP 990');
    const here = await vehicle();
    const body = { fromOn: '2026-11-26', dutyClass: 'night' };
    expect(await api.refused('post', `/v1/vehicles/${here}/duty-changes`, { body })).toEqual([
      422,
      '#/fromOn',
    ]);
    expect((await api.call('post', `/v1/vehicles/${there}/duty-changes`, { body })).status).toBe(201);
  });

  it('are refused field by field, once a day, once a key, and by role', async () => {
    const vehicleId = await vehicle();
    const path = `/v1/vehicles/${vehicleId}/duty-changes`;
    const body = { fromOn: '2026-10-01', dutyClass: 'night', externalKey: 'DC-1' };
    for (const [fault, pointer] of [
      [{ fromOn: '2026-02-30' }, '#/fromOn'],
      [{ dutyClass: 'Night' }, '#/dutyClass'],
      [{ note: '' }, '#/note'],
      [{ externalKey: 'x'.repeat(101) }, '#/externalKey'],
      [{ until: '2027-01-01' }, '#/until'],
    ] as const) {
      expect(await api.refused('post', path, { body: { ...body, ...fault } })).toEqual([422, pointer]);
    }
    const technician = await operator.colleague('technician');
    expect(await technician.refused('post', path, { body })).toEqual([403]);
    const change = await api.call<DutyChangeDto>('post', path, { body, idempotencyKey: 'duty-change-1' });
    const repeated = await api.call<DutyChangeDto>('post', path, { body, idempotencyKey: 'duty-change-1' });
    expect(repeated.body.id).toBe(change.body.id);
    const sameKey = await api.call<{ existingId: string }>('post', path, { body });
    const sameDay = await api.call<{ existingId: string }>('post', path, {
      body: { ...body, externalKey: 'DC-2' },
    });
    expect([sameKey.status, sameKey.body.existingId]).toEqual([409, change.body.id]);
    expect([sameDay.status, sameDay.body.existingId]).toEqual([409, change.body.id]);
    await api.ok('post', path, { body: { fromOn: '2026-01-01', dutyClass: 'day' } });
    const first = await api.ok<DutyChangePageDto>('get', `${path}?limit=1`);
    const second = await api.ok<DutyChangePageDto>('get', `${path}?limit=1&cursor=${first.next ?? ''}`);
    expect([...first.items, ...second.items].map(({ fromOn }) => fromOn)).toEqual([
      '2026-01-01',
      '2026-10-01',
    ]);
    expect(await stranger.admin.refused('get', path)).toEqual([404]);
  });

  it('come in batches that repeat nothing', async () => {
    const vehicleId = await vehicle();
    const write = async (rows: Parameters<DutyChangesService['writeBatch']>[2]) =>
      outcomesOf(await inBatch((tx) => served.app.get(DutyChangesService).writeBatch(tx, worker(), rows)));
    const keyed = { vehicleId, fromOn: '2026-05-01', dutyClass: 'night', externalKey: 'DC-10' };
    const plain = { vehicleId, fromOn: '2026-06-01', dutyClass: 'day' };
    const stray = { ...plain, vehicleId: '019ac1f2-7a30-7b61-a0c3-5f1d0e6f2b11' };
    expect(await write([keyed, plain, plain, { ...plain, dutyClass: 'night' }, stray])).toEqual([
      ['created'],
      ['created'],
      ['unchanged'],
      ['rejected', '#/fromOn'],
      ['rejected', '#/vehicleKey'],
    ]);
    expect(await write([keyed, plain, { ...plain, fromOn: '2026-12-01' }])).toEqual([
      ['unchanged'],
      ['unchanged'],
      ['rejected', '#/fromOn'],
    ]);
    expect(
      await write([
        { ...keyed, fromOn: '2026-06-01' },
        { ...keyed, fromOn: '2026-05-02', note: 'late' },
      ]),
    ).toEqual([['rejected', '#/fromOn'], ['updated']]);
    const { items } = await api.ok<DutyChangePageDto>('get', `/v1/vehicles/${vehicleId}/duty-changes`);
    expect(items.map(({ fromOn, note, revision }) => [fromOn, note, revision])).toEqual([
      ['2026-05-02', 'late', 2],
      ['2026-06-01', null, 1],
    ]);
  });
});

describe('off-road periods', () => {
  it('do not count when the rate is worked out', async () => {
    const vehicleId = await vehicle();
    // 80 km on every day but 28: the vehicle stood from 1 to 28 September
    const points = fortnights(TODAY).map(([on, km]): [string, number] => {
      const stood = Math.min(28, Math.max(0, toEpochDay(on) - toEpochDay('2026-08-31')));
      return [on, km + 80 * (28 - stood)];
    });
    await read(vehicleId, points);
    const before = await usage(vehicleId);
    expect(before.ratePerDay).toBeLessThan(79);
    const path = `/v1/vehicles/${vehicleId}/off-road-periods`;
    const body = { fromOn: '2026-09-01', untilOn: '2026-09-29', reason: 'waiting for a body part' };
    const period = await api.ok<OffRoadPeriodDto>('post', path, { body });
    expect(period).toMatchObject({ ...body, vehicleId, revision: 1 });
    expect((await usage(vehicleId)).ratePerDay).toBeCloseTo(80, 9);

    const one = `/v1/off-road-periods/${period.id}`;
    expect(await api.ok('get', one)).toEqual(period);
    for (const [days, status] of [
      [{ fromOn: '2026-09-28', untilOn: '2026-09-30' }, 409],
      [{ fromOn: '2026-08-01', untilOn: '2026-09-02' }, 409],
      [{ fromOn: '2026-09-29', untilOn: '2026-09-30' }, 201],
      [{ fromOn: '2026-08-31', untilOn: '2026-09-01' }, 201],
    ] as const) {
      const answer = await api.call<{ existingId?: string; detail?: string }>('post', path, {
        body: { ...body, ...days },
      });
      expect(answer.status).toBe(status);
      if (status !== 409) continue;
      expect(answer.body.existingId).toBe(period.id);
      expect(answer.body.detail).toContain('2026-09-01 until back on 2026-09-29');
    }
    expect(await api.refused('delete', one)).toEqual([428]);
    expect(await api.refused('delete', one, { ifMatch: '"r4"' })).toEqual([412]);
    expect((await api.call('delete', one, { ifMatch: '"r1"' })).status).toBe(204);
    expect(await api.refused('get', one)).toEqual([404]);
    const list = await api.ok<{ items: OffRoadPeriodDto[] }>('get', path);
    expect(list.items.map(({ fromOn }) => fromOn)).toEqual(['2026-08-31', '2026-09-29']);
  });

  it('are refused field by field', async () => {
    const vehicleId = await vehicle();
    const path = `/v1/vehicles/${vehicleId}/off-road-periods`;
    const body = { fromOn: '2026-09-01', untilOn: '2026-09-29', reason: 'body part', externalKey: 'OR-1' };
    for (const [fault, pointer] of [
      [{ fromOn: 'September' }, '#/fromOn'],
      [{ untilOn: '2026-09-01' }, '#/untilOn'],
      [{ untilOn: null }, '#/untilOn'],
      [{ reason: '' }, '#/reason'],
      [{ externalKey: 7 }, '#/externalKey'],
    ] as const) {
      expect(await api.refused('post', path, { body: { ...body, ...fault } })).toEqual([422, pointer]);
    }
    const { id } = await api.ok<OffRoadPeriodDto>('post', path, { body });
    const later = { ...body, fromOn: '2026-10-01', untilOn: '2026-10-02' };
    const sameKey = await api.call<{ existingId: string }>('post', path, { body: later });
    expect([sameKey.status, sameKey.body.existingId]).toEqual([409, id]);
    expect(await stranger.admin.refused('post', path, { body })).toEqual([404]);
    expect(await stranger.admin.refused('get', `/v1/off-road-periods/${id}`)).toEqual([404]);
    const technician = await operator.colleague('technician');
    expect(await technician.refused('delete', `/v1/off-road-periods/${id}`, { ifMatch: '"r1"' })).toEqual([
      403,
    ]);
  });

  it('come in batches that repeat nothing', async () => {
    const vehicleId = await vehicle();
    const write = async (rows: Parameters<OffRoadPeriodsService['writeBatch']>[2]) =>
      outcomesOf(await inBatch((tx) => served.app.get(OffRoadPeriodsService).writeBatch(tx, worker(), rows)));
    const keyed = {
      vehicleId,
      fromOn: '2026-05-01',
      untilOn: '2026-05-10',
      reason: 'body part',
      externalKey: 'OR-10',
    };
    const plain = { vehicleId, fromOn: '2026-06-01', untilOn: '2026-06-05', reason: 'paint' };
    expect(
      await write([
        keyed,
        plain,
        plain,
        { ...plain, untilOn: '2026-06-06' },
        { ...plain, fromOn: '2026-07-02', untilOn: '2026-07-01' },
        { ...plain, vehicleId: '019ac1f2-7a30-7b61-a0c3-5f1d0e6f2b11' },
      ]),
    ).toEqual([
      ['created'],
      ['created'],
      ['unchanged'],
      ['rejected', '#/fromOn'],
      ['rejected', '#/untilOn'],
      ['rejected', '#/vehicleKey'],
    ]);
    expect(await write([keyed, plain, { ...keyed, untilOn: '2026-05-12' }])).toEqual([
      ['unchanged'],
      ['unchanged'],
      ['updated'],
    ]);
    expect(await write([{ ...keyed, untilOn: '2026-06-02' }])).toEqual([['rejected', '#/fromOn']]);
  });
});

describe('the usage of a vehicle', () => {
  it('tells the rate, the readings behind it and the odometer of a day to come', async () => {
    const vehicleId = await vehicle({ odometerUnit: 'mi', statedYearlyDistanceKm: 30_000 });
    // the same 80 km a day, read in miles
    await read(
      vehicleId,
      fortnights(TODAY, 40).map(([on, km]): [string, number] => [on, km / 1.609344]),
    );
    const told = await usage(vehicleId, '?on=2027-09-20');
    expect(told).toMatchObject({
      vehicleId,
      meter: 'odometer',
      unit: 'km',
      zone: 'Europe/London',
      todayOn: TODAY,
      basis: 'readings',
      ownWeight: 1,
      warnings: [],
      missing: [],
      model: { dutyClass: 'normal', origin: 'default', vehicles: 0, fittedAt: null, coverage: [] },
    });
    expect(told.ratePerDay).toBeCloseTo(80, 6);
    expect(told.intervalConvention).toContain('Theil-Sen');
    // 400 days back from the newest reading are 28 fortnights and a bit
    expect(told.readingsUsed).toHaveLength(29);
    expect(told.readingsLeftOut.map(({ reason }) => reason)).toEqual(Array(11).fill('older-than-window'));
    expect(told.lastReading!.on).toBe(TODAY);
    // 299 days at 80 km a day after 96,080 km
    expect(told.onDay.how).toBe('forecast');
    expect(told.onDay.total!.median).toBeCloseTo(120_000, 4);
    expect(told.onDay.total!.low).toBeLessThan(119_000);
    expect(told.onDay.total!.high).toBeGreaterThan(121_000);
    expect(told.onDay.shown!.unit).toBe('mi');
    // 120,000 km are 74,564.5 statute miles
    expect(told.onDay.shown!.median).toBeCloseTo(74_564.54, 1);
    const past = await usage(vehicleId, '?on=2026-11-18');
    expect(past.onDay.how).toBe('interpolated');
    expect(past.onDay.total!.median).toBeCloseTo(95_520, 4);
    expect(await api.refused('get', `/v1/vehicles/${vehicleId}/usage?on=2099-01-01`)).toEqual([422, 'on']);
    expect(await api.refused('get', `/v1/vehicles/${vehicleId}/usage?on=soon`)).toEqual([422, 'on']);
  });

  it('is not told of a vehicle that has left the fleet', async () => {
    const id = await vehicle();
    await api.ok('patch', `/v1/vehicles/${id}`, { ifMatch: '"r1"', body: { retiredOn: '2026-11-01' } });
    expect(await api.refused('get', `/v1/vehicles/${id}/usage`)).toEqual([404]);
  });

  it('says what is missing, and when a reading is stale', async () => {
    const bare = await vehicle();
    expect(await usage(bare)).toMatchObject({
      basis: 'none',
      ratePerDay: null,
      lastReading: null,
      forecast: null,
      onDay: { how: 'unknown', total: null, shown: null },
      missing: ['a reading of the meter', 'two readings at least a week apart, or a stated yearly distance'],
    });
    const stated = await vehicle({ statedYearlyDistanceKm: 36_500 });
    await read(stated, [[TODAY, 1_000]]);
    expect(await usage(stated)).toMatchObject({ basis: 'stated', ratePerDay: 100 });
    for (const [lastOn, codes] of [
      [addDays(TODAY, -90), []],
      [addDays(TODAY, -91), ['stale-reading']],
    ] as const) {
      const vehicleId = await vehicle();
      await read(vehicleId, fortnights(lastOn));
      expect((await usage(vehicleId)).warnings.map(({ code }) => code)).toEqual(codes);
    }
  });
});

describe('usage models', () => {
  const VEHICLES = 24;

  it('are fitted to the own history of a fleet in a few seconds, and every due item follows', async () => {
    const ownFleet = await operator.fleet('Simulated');
    const ownDepot = await operator.depot(ownFleet, 'Lower Tarn');
    const first = toEpochDay(TODAY) - 2_400;
    const ids: string[] = [];
    for (let index = 0; index < VEHICLES; index++) {
      const id = await operator.vehicle(ownDepot, `SIM ${index}`, {
        inServiceOn: fromEpochDay(first),
        inServiceOdometerKm: 0,
      });
      ids.push(id);
      // a reading every four weeks or so over six years
      const { record } = simulateVehicle(index + 1, { recordDays: 2_350, aheadDays: 1 });
      await operator.sql(
        `INSERT INTO odometer_readings (organisation_id, vehicle_id, fleet_id, meter, value, unit, read_at, source, state)
          SELECT $1, $2, $3, 'odometer', r.total, 'km', (DATE '1970-01-01' + r.day) + TIME '12:00', 'simulated', 'accepted'
            FROM json_to_recordset($4::json) AS r (day integer, total double precision)`,
        [
          operator.organisationId,
          id,
          ownFleet,
          JSON.stringify(record.track.map(({ day, total }) => ({ day: first + day, total }))),
        ],
      );
    }
    const refitted = await api.call<RefittedFleetDto>('post', '/v1/usage-models/refit', {
      body: { fleetId: ownFleet },
    });
    expect(refitted.status).toBe(200);
    const [model, ...others] = refitted.body.models;
    expect(others).toEqual([]);
    expect(model).toMatchObject({
      fleetId: ownFleet,
      meter: 'odometer',
      dutyClass: 'normal',
      unit: 'km',
      origin: 'fitted',
      vehicles: VEHICLES,
      measuredOn: 'other-vehicles',
    });
    for (const { horizonDays, trials, held } of model!.coverage) {
      expect([30, 90, 180, 365]).toContain(horizonDays);
      expect(trials).toBeGreaterThan(100);
      // nominally 0.8; measured on a dozen vehicles only
      expect(held).toBeGreaterThan(0.6);
      expect(held).toBeLessThan(0.95);
    }

    const list = await api.ok<UsageModelPageDto>('get', `/v1/usage-models?fleetId=${ownFleet}`);
    expect(list).toEqual({ items: [model], next: null });
    const told = await usage(ids[0]!);
    expect(told.model).toMatchObject({ origin: 'fitted', vehicles: VEHICLES, coverage: model!.coverage });
    const item = await firstItem(ids[0]!);
    await api.ok('post', '/v1/usage-models/refit', { body: { fleetId: ownFleet } });
    expect(await firstItem(ids[0]!)).toEqual(item);
  });

  it('are for planners and their own fleets', async () => {
    const body = { fleetId };
    const technician = await operator.colleague('technician');
    expect(await technician.refused('post', '/v1/usage-models/refit', { body })).toEqual([403]);
    expect(await stranger.admin.refused('post', '/v1/usage-models/refit', { body })).toEqual([
      422,
      '#/fleetId',
    ]);
    expect(await api.refused('post', '/v1/usage-models/refit', { body: {} })).toEqual([422, '#/fleetId']);
    expect(await stranger.admin.ok('get', '/v1/usage-models')).toEqual({ items: [], next: null });
    // a fleet with a handful of vehicles keeps the default, and says so
    const refitted = await api.ok<RefittedFleetDto>('post', '/v1/usage-models/refit', { body });
    expect(refitted.models.map(({ origin }) => origin)).toContain('default');
    const first = await api.ok<UsageModelPageDto>('get', '/v1/usage-models?limit=1');
    const second = await api.ok<UsageModelPageDto>(
      'get',
      `/v1/usage-models?limit=1&cursor=${first.next ?? ''}`,
    );
    expect(first.items).toHaveLength(1);
    expect(second.items).toHaveLength(1);
    expect(second.items[0]).not.toEqual(first.items[0]);
  });
});
