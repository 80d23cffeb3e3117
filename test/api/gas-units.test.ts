import { UNIT_POSITIONS } from '../../src/core/hydraulics/unit-positions';
import type {
  AddedGasUnitDto,
  GasUnitDetailsDto,
  GasUnitDto,
  GasUnitPageDto,
  GasUnitStockDto,
} from '../../src/modules/gas-units/dto/gas-unit.dto';
import type { FittingPreviewDto, RecordedUnitMovesDto } from '../../src/modules/gas-units/dto/unit-move.dto';
import type { UnitPlacementPageDto } from '../../src/modules/gas-units/dto/unit-placement.dto';
import type { VehicleUnitPositionsDto } from '../../src/modules/gas-units/dto/vehicle-unit-position.dto';
import { GasUnitsService } from '../../src/modules/gas-units/gas-units.service';
import type { GasUnitUploadRow } from '../../src/modules/gas-units/plan-gas-units';
import type { PlacementUploadRow } from '../../src/modules/gas-units/plan-placements';
import { UnitPlacementsService } from '../../src/modules/gas-units/unit-placements.service';
import type { BulkResult } from '../../src/platform/bulk/bulk-result';
import { Transactions } from '../../src/platform/database/transactions';
import { systemPrincipal } from '../../src/platform/security/principal';
import type { ApiClient, Refusal } from '../support/api-client';
import { countStatements } from '../support/count-statements';
import { Operator } from '../support/operator';
import { startTestApp, TEST_NOW, type TestApp } from '../support/test-app';

let test: TestApp;
let operator: Operator;
let other: Operator;
let api: ApiClient;
let fleetId: string;
let depotId: string;
let frontTypeId: string;
let accumulatorTypeId: string;
beforeAll(async () => {
  test = await startTestApp();
  operator = await Operator.of(test, 'Tarn Valley Patient Transport');
  other = await Operator.of(test, 'Another operator');
  api = operator.admin;
  await operator.follows([
    {
      code: 'unit-age',
      task: 'unit-replacement',
      scope: 'unit',
      unitAgeMonths: 120,
      unitAgeSince: 'manufacture',
    },
    { code: 'unit-test', task: 'unit-precharge-test', scope: 'unit', everyMonths: 24 },
  ]);
  fleetId = await operator.fleet('Patient transport');
  depotId = await operator.depot(fleetId, 'Upper Tarn');
  frontTypeId = await unitType('front-55', ['suspension']);
  accumulatorTypeId = await unitType('rear-brake-40', ['rear-brake-accumulator', 'main-accumulator']);
});
afterAll(() => test.close());

async function unitType(code: string, roles: string[]): Promise<string> {
  const figures = { nominalPrecharge20BarGauge: 55, gasVolumeCm3: 400, damperIntegral: false };
  return (
    await api.ok<{ id: string }>('post', '/v1/gas-unit-types', {
      body: { code, name: code, roles, ...figures },
    })
  ).id;
}

let marks = 100;
const vehicle = (more: object = {}): Promise<string> => {
  marks += 1;
  return operator.vehicle(depotId, `TVP ${marks}`, { inServiceOn: '2024-01-10', ...more });
};

let serials = 0;
const addUnit = (more: object = {}): Promise<AddedGasUnitDto> => {
  serials += 1;
  return api.ok<AddedGasUnitDto>('post', '/v1/gas-units', {
    body: {
      fleetId,
      unitTypeId: frontTypeId,
      serialNumber: `N7-${serials}`,
      madeOn: '2023-05-02',
      place: { state: 'on-the-shelf', depotId, fromAt: '2024-01-01T08:00:00Z' },
      ...more,
    },
  });
};

const fitted = (vehicleId: string, position: string, more: object = {}) => ({
  state: 'fitted',
  vehicleId,
  position,
  ...more,
});

interface Move {
  gasUnitId: string;
  to: object;
  vehicleTotalKm?: number;
}
const step = (at: string, moves: Move[], more: object = {}) => ({
  body: { at, movedBy: 'technician T07', moves, ...more },
});
const move = (at: string, moves: Move[], more: object = {}): Promise<RecordedUnitMovesDto> =>
  api.ok<RecordedUnitMovesDto>('post', '/v1/unit-moves', step(at, moves, more));
const refuse = (at: string, moves: Move[], more: object = {}): Promise<unknown[]> =>
  api.refused('post', '/v1/unit-moves', step(at, moves, more));

const placeOf = async (id: string) => (await api.ok<GasUnitDto>('get', `/v1/gas-units/${id}`)).place;
const historyOf = async (id: string): Promise<string[]> =>
  (await api.ok<UnitPlacementPageDto>('get', `/v1/gas-units/${id}/placements`)).items.map(
    ({ state, position, fromAt, untilAt }) =>
      `${position ?? state} ${fromAt.slice(0, 10)} ${untilAt?.slice(0, 10) ?? 'now'}`,
  );

const FL = 'suspension-front-left';
const FR = 'suspension-front-right';

async function layout(vehicleId: string, facts: object): Promise<void> {
  const unknown = {
    pumpKind: 'unverified',
    antiSinkValves: 'unverified',
    rearBrakeAccumulator: 'unverified',
    steeringSupply: 'unverified',
    steeringRegulator: 'unverified',
  };
  await api.ok('put', `/v1/vehicles/${vehicleId}/hydraulic-system`, {
    ifMatch: '"r0"',
    body: { ...unknown, ...facts },
  });
}

describe('a gas unit', () => {
  it('is added on the shelf, read with its cautions, and changed', async () => {
    const body = { fleetId, unitTypeId: frontTypeId, serialNumber: '  a 1  ', externalKey: 'U1' };
    const idempotencyKey = 'unit-a1-once';
    const unit = await api.ok<AddedGasUnitDto>('post', '/v1/gas-units', { body, idempotencyKey });
    expect(unit).toMatchObject({
      serialNumber: 'A 1',
      unitTypeCode: 'front-55',
      madeOn: null,
      warnings: [],
      place: {
        state: 'on-the-shelf',
        depotId: null,
        fromAt: new Date(TEST_NOW).toISOString(),
        untilAt: null,
      },
    });
    expect(await api.ok('post', '/v1/gas-units', { body, idempotencyKey })).toEqual(unit);
    expect(await api.refused('post', '/v1/gas-units', { body })).toEqual([409, '#/externalKey']);
    const sameSerial = { ...body, externalKey: null };
    expect(await api.refused('post', '/v1/gas-units', { body: sameSerial })).toEqual([409, '#/serialNumber']);

    const path = `/v1/gas-units/${unit.id}`;
    const read = await api.call<GasUnitDetailsDto>('get', path);
    expect(read.body.cautions.map(({ code }) => code)).toEqual(
      expect.arrayContaining(['release-pressure-first', 'vehicle-drops-without-warning', 'nitrogen-only']),
    );
    expect(await api.refused('patch', path, { body: { note: 'x' } })).toEqual([428]);
    const elsewhere = await operator.fleet('School runs');
    const changed = await api.ok<GasUnitDto>('patch', path, {
      ifMatch: read.etag,
      body: { serialNumber: 'a 2', madeOn: '2020-02-29', note: 'from the store', fleetId: elsewhere },
    });
    expect(changed).toMatchObject({ serialNumber: 'A 2', madeOn: '2020-02-29', fleetId: elsewhere });
    expect(await api.refused('patch', path, { ifMatch: read.etag, body: { note: 'x' } })).toEqual([412]);
    const later = { ifMatch: '"r3"', body: { madeOn: '2026-11-28' } };
    expect(await api.refused('patch', path, later)).toEqual([422, '#/madeOn']);
    expect(await other.admin.refused('get', path)).toEqual([404]);
    expect(await other.admin.refused('patch', path, { ifMatch: '"r3"', body: { note: 'x' } })).toEqual([404]);
    // its place goes with it, so a key of the other fleet alone sees both
    const scoped = await operator.colleague('technician', [elsewhere]);
    expect(await scoped.ok<GasUnitDto>('get', path)).toMatchObject({ place: { state: 'on-the-shelf' } });
    expect(await (await operator.colleague('technician', [fleetId])).refused('get', path)).toEqual([404]);
  });

  it('may be recorded where it sits already', async () => {
    const vehicleId = await vehicle();
    const place = fitted(vehicleId, FL, { fromAt: '2025-01-02T09:00:00Z', vehicleTotalKm: 12_000 });
    const unit = await addUnit({ place, movedBy: 'technician T07' });
    expect(unit.place).toMatchObject({
      position: FL,
      vehicleId,
      vehicleTotalKmFrom: 12_000,
      movedBy: 'technician T07',
    });
    const { etag } = await api.call('get', `/v1/gas-units/${unit.id}`);
    const away = { ifMatch: etag, body: { fleetId: await operator.fleet('Third fleet') } };
    expect(await api.refused('patch', `/v1/gas-units/${unit.id}`, away)).toEqual([409, '#/fleetId']);
    const due = await api.ok<{ items: { key: string; unitId: string | null }[] }>(
      'get',
      `/v1/vehicles/${vehicleId}/due-items`,
    );
    expect(due.items.find(({ key }) => key === `unit-age@${FL}`)).toMatchObject({
      unitId: unit.id,
      dueOn: '2033-05-02',
    });
  });

  it.each<[number, string, () => object]>([
    [422, '#/fleetId', () => ({ fleetId: depotId })],
    [422, '#/unitTypeId', () => ({ unitTypeId: depotId })],
    [422, '#/serialNumber', () => ({ serialNumber: '' })],
    [422, '#/madeOn', () => ({ madeOn: '2026-12-24' })],
    [422, '#/place/state', () => ({ place: { state: 'lost' } })],
    [422, '#/place/position', () => ({ place: { state: 'fitted', vehicleId: depotId } })],
    [422, '#/place/vehicleId', () => ({ place: { state: 'fitted', vehicleId: depotId, position: FL } })],
    [422, '#/place/depotId', () => ({ place: { state: 'on-the-shelf', depotId: fleetId } })],
    [422, '#/place/awayWith', () => ({ place: { state: 'on-the-shelf', awayWith: 'the depot' } })],
    [422, '#/place/fromAt', () => ({ place: { state: 'on-the-shelf', fromAt: '2026-11-26T12:00:00Z' } })],
    [422, '#/place/fromAt', () => ({ place: { state: 'on-the-shelf', fromAt: '2023-05-01T12:00:00Z' } })],
  ])('is refused with %d at %s', async (status, pointer, wrong) => {
    const body = {
      fleetId,
      unitTypeId: frontTypeId,
      serialNumber: 'wrong',
      madeOn: '2023-05-02',
      ...wrong(),
    };
    const refusal = await api.refused('post', '/v1/gas-units', { body });
    expect(refusal.slice(0, 2)).toEqual([status, pointer]);
    expect((await api.ok<GasUnitPageDto>('get', '/v1/gas-units?serialNumber=wrong')).items).toEqual([]);
  });

  it('is found by where it is, what it is and its serial number or a part of it', async () => {
    const vehicleId = await vehicle();
    const type = await unitType('to-be-found', ['suspension']);
    const place = fitted(vehicleId, FL, { fromAt: '2025-01-02T09:00:00Z' });
    const onVehicle = await addUnit({ unitTypeId: type, serialNumber: 'F_1', place });
    const onShelf = await addUnit({ unitTypeId: type, serialNumber: 'FX1' });
    const found = async (query: string): Promise<string[]> =>
      (await api.ok<GasUnitPageDto>('get', `/v1/gas-units?unitTypeId=${type}&${query}`)).items.map(
        ({ id }) => id,
      );
    expect(await found('')).toEqual([onVehicle.id, onShelf.id]);
    expect(await found('state=fitted')).toEqual([onVehicle.id]);
    expect(await found(`vehicleId=${vehicleId}`)).toEqual([onVehicle.id]);
    expect(await found(`depotId=${depotId}&state=on-the-shelf`)).toEqual([onShelf.id]);
    expect(await found('serialNumber=f_')).toEqual([onVehicle.id]);
    expect(await found('search=_1')).toEqual([onVehicle.id]);
    expect(await found('search=%20x%201')).toEqual([onShelf.id]);
    expect(await found('state=scrapped')).toEqual([]);
    const first = await api.ok<GasUnitPageDto>('get', `/v1/gas-units?unitTypeId=${type}&limit=1`);
    expect(await found(`limit=1&cursor=${encodeURIComponent(first.next ?? '')}`)).toEqual([onShelf.id]);
    const stock = await api.ok<GasUnitStockDto>('get', `/v1/gas-unit-stock?unitTypeId=${type}`);
    const atDepot = {
      depotId,
      depotName: 'Upper Tarn',
      unitTypeId: type,
      unitTypeCode: 'to-be-found',
      count: 1,
    };
    expect(stock.items).toEqual([
      { ...atDepot, state: 'fitted' },
      { ...atDepot, state: 'on-the-shelf' },
    ]);
    expect(await other.admin.ok('get', '/v1/gas-unit-stock')).toEqual({ items: [] });
  });
});

describe('moving units', () => {
  it('exchanges two units between two vehicles in one step, and tells what came and went', async () => {
    const [a, b] = [await vehicle(), await vehicle()];
    const one = await addUnit({
      place: fitted(a, FL, { fromAt: '2025-01-02T09:00:00Z', vehicleTotalKm: 1_000 }),
    });
    const two = await addUnit({
      madeOn: '2020-05-02',
      place: fitted(b, FR, { fromAt: '2025-01-02T09:00:00Z', vehicleTotalKm: 2_000 }),
    });
    const done = await move('2026-06-01T10:00:00+01:00', [
      { gasUnitId: one.id, to: fitted(b, FR, { vehicleTotalKm: 22_000 }), vehicleTotalKm: 11_000 },
      { gasUnitId: two.id, to: fitted(a, FL) },
    ]);
    // what was read of a vehicle counts for every move of it
    expect(done.placements).toEqual([
      expect.objectContaining({ gasUnitId: one.id, vehicleId: b, position: FR, vehicleTotalKmFrom: 22_000 }),
      expect.objectContaining({ gasUnitId: two.id, vehicleId: a, position: FL, vehicleTotalKmFrom: 11_000 }),
    ]);
    expect(done.warnings).toEqual([]);
    const onA = done.vehicles.find(({ vehicleId }) => vehicleId === a)!;
    expect(onA.onHold).toBe(false);
    // 120 months after 2023-05-02 and 2020-05-02
    const ages = (items: { key: string; dueOn: string | null }[]) =>
      items.filter(({ key }) => key === `unit-age@${FL}`).map(({ dueOn }) => dueOn);
    expect([ages(onA.clears), ages(onA.raises)]).toEqual([['2033-05-02'], ['2030-05-02']]);
    expect(done.cautions.map(({ code }) => code)).toEqual(
      expect.arrayContaining(['release-pressure-first', 'vehicle-drops-without-warning', 'nitrogen-only']),
    );

    const { items } = await api.ok<UnitPlacementPageDto>('get', `/v1/gas-units/${one.id}/placements`);
    expect(
      items.map(({ vehicleId, untilAt, vehicleTotalKmUntil }) => [vehicleId, untilAt, vehicleTotalKmUntil]),
    ).toEqual([
      [b, null, null],
      [a, '2026-06-01T09:00:00.000Z', 11_000],
    ]);
    const at = async (moment: string) =>
      (
        await api.ok<UnitPlacementPageDto>('get', `/v1/gas-units/${one.id}/placements?at=${moment}`)
      ).items.map(({ vehicleId }) => vehicleId);
    // half-open periods: at the moment of the move it is at the new place
    expect(await at('2026-06-01T08:59:59Z')).toEqual([a]);
    expect(await at('2026-06-01T09:00:00Z')).toEqual([b]);
    expect(await at('2024-06-01T09:00:00Z')).toEqual([]);

    const seats = (await api.ok<VehicleUnitPositionsDto>('get', `/v1/vehicles/${a}/unit-positions`)).items;
    expect(seats.slice(0, UNIT_POSITIONS.length).map(({ position }) => position)).toEqual([
      ...UNIT_POSITIONS,
    ]);
    expect(seats.find(({ position }) => position === FL)).toMatchObject({
      expectation: 'expected',
      role: 'suspension',
      unit: { gasUnitId: two.id, serialNumber: two.serialNumber, unitTypeCode: 'front-55' },
    });
    expect(seats.find(({ position }) => position === 'rear-brake-accumulator')).toMatchObject({
      expectation: 'unknown',
      unit: null,
    });
    const before = await api.ok<VehicleUnitPositionsDto>(
      'get',
      `/v1/vehicles/${a}/unit-positions?at=2026-05-31T00:00:00Z`,
    );
    expect(before.items.find(({ position }) => position === FL)?.unit).toMatchObject({ gasUnitId: one.id });
    const ofSeat = async (query: string): Promise<UnitPlacementPageDto> =>
      api.ok<UnitPlacementPageDto>('get', `/v1/vehicles/${a}/unit-placements?${query}`);
    const page = await ofSeat(`position=${FL}&limit=1`);
    expect(page.items.map(({ gasUnitId }) => gasUnitId)).toEqual([two.id]);
    const next = await ofSeat(`position=${FL}&limit=1&cursor=${encodeURIComponent(page.next ?? '')}`);
    expect(next).toMatchObject({ items: [{ gasUnitId: one.id }], next: null });
    expect((await ofSeat(`position=${FR}`)).items).toEqual([]);
    const moved = await operator.sql<{ count: number }>(
      `SELECT count(*)::integer AS count FROM audit_entries WHERE action = 'moved' AND subject_id = ANY ($1)`,
      [[one.id, two.id]],
    );
    // each once when it was added, each once in the exchange
    expect(moved[0]?.count).toBe(4);
  });

  it('takes one unit out and puts another in at the same position', async () => {
    const a = await vehicle();
    const old = await addUnit({ place: fitted(a, FL, { fromAt: '2025-01-02T09:00:00Z' }) });
    const next = await addUnit();
    const at = '2026-06-02T09:00:00Z';
    const into: Move = { gasUnitId: next.id, to: fitted(a, FL) };
    const answer = await api.call<Refusal>('post', '/v1/unit-moves', step(at, [into]));
    expect([answer.status, answer.body.errors?.[0]?.pointer]).toEqual([409, '#/moves/0/to/position']);
    expect(answer.body.detail).toContain(old.serialNumber);
    expect(answer.body.errors?.[0]?.remedy).toContain('displaced');
    expect(await historyOf(next.id)).toEqual(['on-the-shelf 2024-01-01 now']);

    const out: Move = { gasUnitId: old.id, to: { state: 'away-for-recharge', awayWith: 'Tarn Nitrogen' } };
    await move(at, [out, into]);
    expect(await placeOf(old.id)).toMatchObject({ state: 'away-for-recharge', awayWith: 'Tarn Nitrogen' });
    expect(await placeOf(next.id)).toMatchObject({ position: FL });

    const third = await addUnit();
    const done = await move('2026-06-03T09:00:00Z', [{ gasUnitId: third.id, to: fitted(a, FL) }], {
      displaced: 'on-the-shelf',
    });
    expect(done.placements.map(({ gasUnitId, state }) => [gasUnitId, state])).toEqual([
      [third.id, 'fitted'],
      [next.id, 'on-the-shelf'],
    ]);
    expect(await historyOf(next.id)).toEqual([
      'on-the-shelf 2026-06-03 now',
      `${FL} 2026-06-02 2026-06-03`,
      'on-the-shelf 2024-01-01 2026-06-02',
    ]);
  });

  it('hands a unit and its history to the fleet of the vehicle that it is fitted to', async () => {
    const elsewhere = await operator.fleet('Night service');
    const there = await operator.depot(elsewhere, 'Lower Tarn');
    const a = await operator.vehicle(there, 'TVP 900');
    const unit = await addUnit();
    await move('2026-06-02T09:00:00Z', [{ gasUnitId: unit.id, to: fitted(a, FL) }]);
    const scoped = await operator.colleague('technician', [elsewhere]);
    expect(await scoped.ok<GasUnitDto>('get', `/v1/gas-units/${unit.id}`)).toMatchObject({
      fleetId: elsewhere,
    });
    const { items } = await scoped.ok<UnitPlacementPageDto>('get', `/v1/gas-units/${unit.id}/placements`);
    expect(items.length).toBe(2);
    const mine = await operator.colleague('technician', [fleetId]);
    expect(await mine.refused('get', `/v1/gas-units/${unit.id}`)).toEqual([404]);
    const blind = step('2026-06-03T09:00:00Z', [{ gasUnitId: unit.id, to: { state: 'on-the-shelf' } }]);
    expect(await mine.refused('post', '/v1/unit-moves', blind)).toEqual([422, '#/moves/0/gasUnitId']);
  });

  it('holds a vehicle whose unit was taken out and not replaced, and lets it go with the next one', async () => {
    const a = await vehicle();
    const unit = await addUnit({ place: fitted(a, FL, { fromAt: '2025-01-02T09:00:00Z' }) });
    const out = await move('2026-06-02T09:00:00Z', [
      { gasUnitId: unit.id, to: { state: 'on-the-shelf', depotId } },
    ]);
    expect(out.vehicles).toMatchObject([{ vehicleId: a, onHold: true }]);
    const spare = await addUnit();
    const back = await move('2026-06-02T11:00:00Z', [{ gasUnitId: spare.id, to: fitted(a, FL) }]);
    expect(back.vehicles).toMatchObject([{ vehicleId: a, onHold: false }]);
  });

  it('fits only where the vehicle has such a position, and warns where nobody knows', async () => {
    const a = await vehicle();
    const unit = await addUnit({ unitTypeId: accumulatorTypeId });
    const toRear: Move[] = [{ gasUnitId: unit.id, to: fitted(a, 'rear-brake-accumulator') }];
    const preview = `/v1/gas-units/${unit.id}/fitting-preview?vehicleId=${a}&position=rear-brake-accumulator`;
    expect((await api.ok<FittingPreviewDto>('get', preview)).warnings).toEqual([
      expect.stringContaining('nobody has established'),
    ]);
    await layout(a, { antiSinkValves: 'not-fitted', rearBrakeAccumulator: 'not-fitted' });
    expect(await refuse('2026-06-02T09:00:00Z', toRear)).toEqual([422, '#/moves/0/to/position']);
    expect(await api.refused('get', preview)).toEqual([422, 'position']);

    const b = await vehicle();
    const done = await move('2026-06-02T09:00:00Z', [
      { ...toRear[0]!, to: fitted(b, 'rear-brake-accumulator') },
    ]);
    expect(done.warnings).toEqual([
      expect.stringMatching(/^#\/moves\/0\/to\/position: nobody has established/),
    ]);
  });

  it('fits at positions of your own', async () => {
    await api.ok('post', '/v1/unit-positions', {
      body: { code: 'tail-lift', name: 'Tail lift', role: 'suspension' },
    });
    const a = await vehicle();
    const unit = await addUnit();
    await move('2026-06-02T09:00:00Z', [{ gasUnitId: unit.id, to: fitted(a, 'tail-lift') }]);
    const { items } = await api.ok<VehicleUnitPositionsDto>('get', `/v1/vehicles/${a}/unit-positions`);
    expect(items.at(-1)).toMatchObject({
      position: 'tail-lift',
      expectation: 'own-position',
      unit: { gasUnitId: unit.id },
    });
  });

  it('takes the distance from the readings where nobody gives one', async () => {
    const a = await vehicle();
    for (const [readAt, value] of [
      ['2026-05-01T09:00:00Z', 30_000],
      ['2026-07-01T09:00:00Z', 36_100],
    ] as const) {
      await api.ok('post', `/v1/vehicles/${a}/odometer-readings`, {
        body: { readAt, value, source: 'driver-sheet' },
      });
    }
    const unit = await addUnit();
    const { placements } = await move('2026-05-31T12:00:00Z', [{ gasUnitId: unit.id, to: fitted(a, FL) }]);
    // by hand: 6,100 km in 61 days, 30 days after the first reading
    expect(placements[0]?.vehicleTotalKmFrom).toBeCloseTo(33_000, 6);
    const out: Move = { gasUnitId: unit.id, to: { state: 'scrapped' }, vehicleTotalKm: 32_000 };
    expect(await refuse('2026-06-30T12:00:00Z', [out])).toEqual([422, '#/moves/0/vehicleTotalKm']);
    await move('2026-06-30T12:00:00Z', [{ gasUnitId: unit.id, to: { state: 'scrapped' } }]);
    const { items } = await api.ok<UnitPlacementPageDto>('get', `/v1/vehicles/${a}/unit-placements`);
    expect(items[0]?.vehicleTotalKmUntil).toBeCloseTo(36_000, 6);
    expect(
      await refuse('2026-07-30T12:00:00Z', [{ gasUnitId: unit.id, to: { state: 'on-the-shelf' } }]),
    ).toEqual([409, '#/moves/0/gasUnitId']);
  });

  it('records everything or nothing, and names everything that is wrong', async () => {
    const a = await vehicle();
    const [good, bad] = [await addUnit(), await addUnit({ unitTypeId: accumulatorTypeId })];
    const moves = [
      { gasUnitId: good.id, to: fitted(a, FL) },
      { gasUnitId: bad.id, to: fitted(a, FR) },
      { gasUnitId: depotId, to: fitted(a, 'no-such-position') },
    ];
    expect(await refuse('2026-06-02T09:00:00Z', moves)).toEqual([
      422,
      '#/moves/1/gasUnitId',
      '#/moves/2/gasUnitId',
    ]);
    expect(await historyOf(good.id)).toEqual(['on-the-shelf 2024-01-01 now']);
  });

  it.each<[string, unknown[], (unit: string, vehicleId: string) => [string, Move[]]]>([
    [
      'in the future',
      [422, '#/at'],
      (u) => ['2026-11-25T12:00:01Z', [{ gasUnitId: u, to: { state: 'scrapped' } }]],
    ],
    [
      'before its present place began',
      [409, '#/at'],
      (u) => ['2024-01-01T08:00:00Z', [{ gasUnitId: u, to: { state: 'scrapped' } }]],
    ],
    [
      'before it was made',
      [422, '#/at'],
      (u, v) => ['2023-05-01T08:00:00Z', [{ gasUnitId: u, to: fitted(v, FL) }]],
    ],
    [
      'to where it is',
      [409, '#/moves/0/gasUnitId'],
      (u) => ['2026-06-02T09:00:00Z', [{ gasUnitId: u, to: { state: 'on-the-shelf', depotId } }]],
    ],
    [
      'twice in one step',
      [422, '#/moves/1/gasUnitId'],
      (u, v) => [
        '2026-06-02T09:00:00Z',
        [
          { gasUnitId: u, to: fitted(v, FL) },
          { gasUnitId: u, to: fitted(v, FR) },
        ],
      ],
    ],
    [
      'to a position that there is not',
      [422, '#/moves/0/to/position'],
      (u, v) => ['2026-06-02T09:00:00Z', [{ gasUnitId: u, to: fitted(v, 'boot') }]],
    ],
    [
      'without a position',
      [422, '#/moves/0/to/position'],
      (u, v) => ['2026-06-02T09:00:00Z', [{ gasUnitId: u, to: { state: 'fitted', vehicleId: v } }]],
    ],
    [
      'with the distance of a vehicle that it does not leave',
      [422, '#/moves/0/vehicleTotalKm'],
      (u, v) => ['2026-06-02T09:00:00Z', [{ gasUnitId: u, to: fitted(v, FL), vehicleTotalKm: 5 }]],
    ],
    [
      'at a moment without offset',
      [422, '#/at'],
      (u) => ['2026-06-02T09:00:00', [{ gasUnitId: u, to: { state: 'scrapped' } }]],
    ],
    ['without any move', [422, '#/moves'], () => ['2026-06-02T09:00:00Z', []]],
  ])('is refused %s', async (_, refusal, stepOf) => {
    const unit = await addUnit();
    const answer = await refuse(...stepOf(unit.id, await vehicle()));
    expect(answer.slice(0, 2)).toEqual(refusal);
    expect(await historyOf(unit.id)).toEqual(['on-the-shelf 2024-01-01 now']);
  });

  it('refuses two units at one position and a moment at which another unit sat there', async () => {
    const a = await vehicle();
    const [one, two] = [await addUnit(), await addUnit()];
    const both = [one, two].map(({ id }) => ({ gasUnitId: id, to: fitted(a, FL) }));
    expect(await refuse('2026-06-02T09:00:00Z', both)).toEqual([422, '#/moves/1/to/position']);
    await move('2026-06-02T09:00:00Z', [both[0]!]);
    await move('2026-06-20T09:00:00Z', [{ gasUnitId: one.id, to: { state: 'on-the-shelf' } }]);
    expect(await refuse('2026-06-10T09:00:00Z', [both[1]!])).toEqual([409, '#/at']);
    await move('2026-06-20T09:00:00Z', [both[1]!]);
    expect(await placeOf(two.id)).toMatchObject({ vehicleId: a, position: FL });
  });

  it('is open to technicians, not to other organisations, and is done once', async () => {
    const a = await vehicle();
    const unit = await addUnit();
    const technician = await operator.colleague('technician');
    const request = step('2026-06-02T09:00:00Z', [{ gasUnitId: unit.id, to: fitted(a, FL) }]);
    expect(await other.admin.refused('post', '/v1/unit-moves', request)).toEqual([
      422,
      '#/moves/0/gasUnitId',
    ]);
    const once = { ...request, idempotencyKey: 'fit-this-unit-once' };
    const first = await technician.ok<RecordedUnitMovesDto>('post', '/v1/unit-moves', once);
    expect(await technician.ok('post', '/v1/unit-moves', once)).toEqual(first);
    expect(await historyOf(unit.id)).toEqual([`${FL} 2026-06-02 now`, 'on-the-shelf 2024-01-01 2026-06-02']);
    for (const path of ['unit-positions', 'unit-placements'])
      expect(await other.admin.refused('get', `/v1/vehicles/${a}/${path}`)).toEqual([404]);
    for (const path of ['placements', `fitting-preview?vehicleId=${a}&position=${FL}`])
      expect(await other.admin.refused('get', `/v1/gas-units/${unit.id}/${path}`)).toEqual([404]);
  });

  it('of the same unit at the same time to different vehicles succeeds once', async () => {
    const unit = await addUnit();
    const vehicles = [await vehicle(), await vehicle(), await vehicle(), await vehicle()];
    const answers = await Promise.all(
      vehicles.map((id) =>
        api.call<Refusal>(
          'post',
          '/v1/unit-moves',
          step('2026-06-02T09:00:00Z', [{ gasUnitId: unit.id, to: fitted(id, FL) }]),
        ),
      ),
    );
    expect(answers.map(({ status }) => status).sort()).toEqual([201, 409, 409, 409]);
    expect(await historyOf(unit.id)).toEqual([`${FL} 2026-06-02 now`, 'on-the-shelf 2024-01-01 2026-06-02']);
  });
});

describe('a vehicle whose unit went to another fleet', () => {
  it('is on hold for everybody who sees the vehicle, until another unit is fitted', async () => {
    const otherFleetId = await operator.fleet('School runs');
    const otherDepotId = await operator.depot(otherFleetId, 'Lower Tarn');
    const elsewhere = await operator.vehicle(otherDepotId, 'TVP 900', { inServiceOn: '2024-01-10' });
    const vehicleId = await vehicle();
    const { id } = await addUnit({ place: fitted(vehicleId, FL, { fromAt: '2024-01-01T08:00:00Z' }) });
    await move('2026-05-04T09:00:00Z', [{ gasUnitId: id, to: fitted(elsewhere, FL) }]);

    const own = await operator.colleague('front-desk', [fleetId]);
    const hold = (who: ApiClient): Promise<{ onHold: boolean; reasons: { findingCode: string | null }[] }> =>
      who.ok('get', `/v1/vehicles/${vehicleId}/hold`);
    for (const who of [api, own]) {
      expect(await hold(who)).toMatchObject({
        onHold: true,
        reasons: [{ findingCode: `unit-missing-at-${FL}` }],
      });
    }
    const held = await own.ok<{ items: { vehicleId: string }[] }>('get', '/v1/holds?limit=500');
    expect(held.items.map((one) => one.vehicleId)).toContain(vehicleId);

    const replacement = await addUnit();
    await move('2026-05-05T09:00:00Z', [{ gasUnitId: replacement.id, to: fitted(vehicleId, FL) }]);
    expect((await hold(own)).onHold).toBe(false);
  });
});

describe('a preview of a fitting', () => {
  it('tells what the unit would owe and stores nothing', async () => {
    const a = await vehicle();
    const sitting = await addUnit({ place: fitted(a, FL, { fromAt: '2025-01-02T09:00:00Z' }) });
    const unit = await addUnit({ madeOn: '2019-05-02' });
    const dump = () =>
      operator.sql(
        `SELECT (SELECT json_agg(p ORDER BY id) FROM unit_placements p) AS p, (SELECT json_agg(i ORDER BY id) FROM due_items i) AS i,
          (SELECT count(*) FROM audit_entries) AS a, (SELECT json_agg(u ORDER BY id) FROM gas_units u) AS u`,
      );
    const before = await dump();
    const path = `/v1/gas-units/${unit.id}/fitting-preview?vehicleId=${a}&position=${FL}`;
    expect(await api.refused('get', path)).toEqual([422, 'position']);
    const preview = await api.ok<FittingPreviewDto>('get', `${path}&displaced=on-the-shelf`);
    expect(preview.displaces).toMatchObject({ gasUnitId: sitting.id });
    expect(preview.owed).toContainEqual(
      expect.objectContaining({ key: `unit-age@${FL}`, dueOn: '2029-05-02' }),
    );
    expect(preview.vehicles).toMatchObject([{ vehicleId: a }]);
    expect(await dump()).toEqual(before);

    const at = { vehicleId: a, position: FL };
    const done = await move(
      '2026-11-25T11:59:00Z',
      [{ gasUnitId: unit.id, to: { state: 'fitted', ...at } }],
      {
        displaced: 'on-the-shelf',
      },
    );
    expect(done.vehicles).toEqual(preview.vehicles);
    const elsewhere = `/v1/gas-units/${unit.id}/fitting-preview?vehicleId=${depotId}&position=${FR}`;
    expect(await api.refused('get', elsewhere)).toEqual([422, 'vehicleId']);
    expect(await api.refused('get', `/v1/gas-units/${unit.id}/fitting-preview?position=${FR}`)).toEqual([
      422,
      'vehicleId',
    ]);
  });
});

describe('taking a move back', () => {
  const undo = async (unitId: string): Promise<unknown[]> => {
    const place = await placeOf(unitId);
    const path = `/v1/unit-placements/${place!.id}`;
    const { etag } = await api.call('get', path);
    return api.refused('delete', path, { ifMatch: etag });
  };

  it('puts the unit where it was before, and the vehicle owes what it owed before', async () => {
    const [a, b] = [await vehicle(), await vehicle()];
    const unit = await addUnit({
      place: fitted(a, FL, { fromAt: '2025-01-02T09:00:00Z', vehicleTotalKm: 5 }),
    });
    const owed = (): Promise<object[]> =>
      operator.sql(
        `SELECT vehicle_id, item_key, details::text, reasoning::text FROM due_items WHERE vehicle_id = ANY ($1) ORDER BY 1, 2`,
        [[a, b]],
      );
    const before = [await owed(), await historyOf(unit.id)];
    await move('2026-06-02T09:00:00Z', [{ gasUnitId: unit.id, to: fitted(b, FL), vehicleTotalKm: 90 }]);
    expect([await owed(), await historyOf(unit.id)]).not.toEqual(before);
    const path = `/v1/unit-placements/${(await placeOf(unit.id))!.id}`;
    expect(await api.refused('delete', path)).toEqual([428]);
    expect(await api.refused('delete', path, { ifMatch: '"r1"' })).toEqual([412]);
    expect(await other.admin.refused('delete', path, { ifMatch: '"r3"' })).toEqual([404]);
    expect(await undo(unit.id)).toEqual([204]);
    expect([await owed(), await historyOf(unit.id)]).toEqual(before);
    expect(await placeOf(unit.id)).toMatchObject({ vehicleTotalKmFrom: 5, vehicleTotalKmUntil: null });
    // what is left is the first place on record
    expect(await undo(unit.id)).toEqual([409]);
  });

  it('is refused for an earlier move, for a place that was taken since, and where the unit was tested since', async () => {
    const a = await vehicle();
    const [one, two] = [
      await addUnit({ place: fitted(a, FL, { fromAt: '2025-01-02T09:00:00Z' }) }),
      await addUnit(),
    ];
    const first = await placeOf(one.id);
    await move('2026-06-02T09:00:00Z', [{ gasUnitId: one.id, to: { state: 'on-the-shelf' } }]);
    await move('2026-06-03T09:00:00Z', [{ gasUnitId: two.id, to: fitted(a, FL) }]);
    const { etag } = await api.call('get', `/v1/unit-placements/${first!.id}`);
    expect(await api.refused('delete', `/v1/unit-placements/${first!.id}`, { ifMatch: etag })).toEqual([409]);
    expect(await undo(one.id)).toEqual([409]);
    await operator.sql(
      `INSERT INTO gas_unit_events (organisation_id, fleet_id, unit_id, vehicle_id, position, kind, done_at,
          pressure_bar_gauge, gas_temperature_c, ambient_bar, precharge20_bar_gauge, ideal_precharge20_bar_gauge,
          outcome, outcome_reasons, limits, done_by)
        VALUES ($1, $2, $3, $4, $5, 'precharge-test', '2026-06-04T09:00:00Z', 55, 20, 1.01325, 55, 55, 'passed', '[]',
          '{}', 'the test')`,
      [operator.organisationId, fleetId, two.id, a, FL],
    );
    expect(await undo(two.id)).toEqual([409]);
    await operator.sql(`UPDATE gas_unit_events SET voided_at = now() WHERE unit_id = $1`, [two.id]);
    expect(await undo(two.id)).toEqual([204]);
    expect(await undo(one.id)).toEqual([204]);
    expect(await historyOf(one.id)).toEqual([`${FL} 2025-01-02 now`]);
  });
});

describe('batches', () => {
  const inBatch = <T>(
    work: (tx: Parameters<Parameters<Transactions['run']>[1]>[0]) => Promise<T>,
  ): Promise<T> => test.app.get(Transactions).run(principal(), work);
  const principal = () => systemPrincipal(operator.organisationId, 'importing');
  const writeUnits = (rows: GasUnitUploadRow[]): Promise<BulkResult[]> =>
    inBatch((tx) => test.app.get(GasUnitsService).writeBatch(tx, principal(), rows));
  const writePlacements = (rows: PlacementUploadRow[]): Promise<BulkResult[]> =>
    inBatch((tx) => test.app.get(UnitPlacementsService).writePlacementBatch(tx, principal(), rows));
  const outcomes = (results: BulkResult[]): string[] =>
    results.map(({ outcome, errors }) => [outcome, ...errors.map(({ pointer }) => pointer)].join(' '));

  it('write units once, and change what a file knows better', async () => {
    const row = (n: number, more: object = {}): GasUnitUploadRow => ({
      fleetId,
      unitTypeCode: 'front-55',
      serialNumber: `B${n}`,
      madeOn: '2022-03-04',
      externalKey: `BK${n}`,
      ...more,
    });
    const rows = [row(1), row(2, { externalKey: null }), row(1), row(3, { unitTypeCode: 'none' })];
    expect(outcomes(await writeUnits(rows))).toEqual([
      'created',
      'created',
      'unchanged',
      'rejected #/unitTypeCode',
    ]);
    expect(outcomes(await writeUnits(rows.slice(0, 3)))).toEqual(['unchanged', 'unchanged', 'unchanged']);
    const again = [
      row(1, { madeOn: '2022-03-05' }),
      row(2, { externalKey: 'BK2' }),
      row(2, { externalKey: 'BK1' }),
      row(4, { fleetId: depotId }),
      row(5, { madeOn: '2027-01-01' }),
      row(9, { externalKey: 'BK1' }),
      row(6, { unitTypeCode: 'rear-brake-40', externalKey: 'BK1' }),
    ];
    expect(outcomes(await writeUnits(again))).toEqual([
      'updated',
      'updated',
      'rejected #/serialNumber',
      'rejected #/fleetKey',
      'rejected #/madeOn',
      'updated',
      'rejected #/unitTypeCode',
    ]);
    const { items } = await api.ok<GasUnitPageDto>('get', '/v1/gas-units?serialNumber=b');
    expect(
      items.map(({ serialNumber, madeOn, externalKey, place }) => [serialNumber, madeOn, externalKey, place]),
    ).toEqual([
      ['B9', '2022-03-04', 'BK1', null],
      ['B2', '2022-03-04', 'BK2', null],
    ]);
    const nowhere = await api.ok<GasUnitPageDto>('get', '/v1/gas-units?state=unknown');
    expect(nowhere.items.map(({ serialNumber }) => serialNumber)).toEqual(['B9', 'B2']);
  });

  it('write histories once, close what is open, and refuse what overlaps', async () => {
    const [a, b] = [await vehicle(), await vehicle()];
    const results = await writeUnits(
      ['H1', 'H2'].map((serialNumber) => ({
        fleetId,
        unitTypeCode: 'front-55',
        serialNumber,
        madeOn: '2020-01-01',
      })),
    );
    const [one, two] = results.map(({ subjectId }) => subjectId ?? '');
    const period = (
      unitId: string,
      vehicleId: string | null,
      from: string,
      until: string | null,
      more = {},
    ) => ({
      unitId,
      state: vehicleId === null ? ('on-the-shelf' as const) : ('fitted' as const),
      vehicleId,
      position: vehicleId === null ? null : FL,
      fromAt: new Date(`${from}T09:00:00Z`),
      untilAt: until === null ? null : new Date(`${until}T09:00:00Z`),
      ...more,
    });
    const file = [
      period(one!, a, '2021-01-01', '2022-01-01', { vehicleTotalKmFrom: 10, vehicleTotalKmUntil: 20_000 }),
      period(one!, null, '2022-01-01', '2022-02-01', { depotId }),
      period(one!, b, '2022-02-01', null, { externalKey: 'P3' }),
      period(two!, a, '2022-01-01', '2023-01-01'),
    ];
    expect(outcomes(await writePlacements(file))).toEqual(['created', 'created', 'created', 'created']);
    expect(outcomes(await writePlacements(file))).toEqual(file.map(() => 'unchanged'));
    expect(await historyOf(one!)).toEqual([
      `${FL} 2022-02-01 now`,
      'on-the-shelf 2022-01-01 2022-02-01',
      `${FL} 2021-01-01 2022-01-01`,
    ]);
    const wrong: PlacementUploadRow[] = [
      // the unit was elsewhere
      period(one!, null, '2021-06-01', '2021-07-01'),
      // the position was taken
      period(two!, a, '2021-06-01', '2021-07-01'),
      period(two!, b, '2023-06-01', '2023-05-01'),
      period(two!, b, '2019-06-01', '2019-07-01'),
      period(two!, b, '2027-06-01', null),
      period(two!, depotId, '2023-06-01', null),
      period(depotId, a, '2023-06-01', null),
      period(two!, a, '2023-06-01', null, { externalKey: 'P3' }),
      period(two!, a, '2023-06-01', null, { position: 'boot' }),
      period(two!, a, '2023-06-01', null, { position: 'main-accumulator' }),
      period(two!, a, '2023-06-01', '2023-07-01', { vehicleTotalKmFrom: 9, vehicleTotalKmUntil: 8 }),
      { ...period(two!, null, '2023-06-01', '2023-07-01'), state: 'scrapped' },
      period(two!, null, '2023-06-01', null, { depotId: fleetId }),
    ];
    expect(outcomes(await writePlacements(wrong))).toEqual([
      'rejected #/fromAt',
      'rejected #/fromAt',
      'rejected #/untilAt',
      'rejected #/fromAt',
      'rejected #/fromAt',
      'rejected #/vehicleKey',
      'rejected #/unitKey',
      'rejected #/externalKey',
      'rejected #/position',
      'rejected #/unitKey',
      'rejected #/vehicleTotalKmUntil',
      'rejected #/untilAt',
      'rejected #/depotKey',
    ]);
    const grown = [
      period(one!, b, '2022-02-01', '2026-01-01', { externalKey: 'P3', note: 'weak' }),
      period(one!, null, '2026-01-01', null),
    ];
    expect(outcomes(await writePlacements(grown))).toEqual(['updated', 'created']);
    expect((await historyOf(one!)).slice(0, 2)).toEqual([
      'on-the-shelf 2026-01-01 now',
      `${FL} 2022-02-01 2026-01-01`,
    ]);
    const vehicleIds = await inBatch((tx) => test.app.get(UnitPlacementsService).vehicleIdsOf(tx, [one!]));
    expect(vehicleIds).toEqual([a, b].sort());
    const then = await inBatch((tx) =>
      test.app.get(UnitPlacementsService).at(tx, one!, new Date('2021-06-01T00:00:00Z')),
    );
    expect(then).toMatchObject({ vehicleId: a, position: FL });
  });

  it('write a thousand periods in a few statements', async () => {
    const UNITS = 500;
    const vehicles = await operator.sql<{ id: string }>(
      `INSERT INTO vehicles (organisation_id, fleet_id, depot_id, registration_mark, duty_class, odometer_unit)
        SELECT $1, $2, $3, 'BULK ' || n, 'normal', 'km' FROM generate_series(1, $4::integer) n RETURNING id`,
      [operator.organisationId, fleetId, depotId, UNITS],
    );
    const units = await writeUnits(
      vehicles.map((_, n) => ({ fleetId, unitTypeCode: 'front-55', serialNumber: `BULK${n}` })),
    );
    const rows = units.flatMap(({ subjectId }, n): PlacementUploadRow[] => [
      {
        unitId: subjectId ?? '',
        state: 'on-the-shelf',
        fromAt: new Date('2024-01-01Z'),
        untilAt: new Date('2024-02-01Z'),
      },
      {
        unitId: subjectId ?? '',
        state: 'fitted',
        vehicleId: vehicles[n]!.id,
        position: FL,
        fromAt: new Date('2024-02-01Z'),
      },
    ]);
    const { result, statements } = await countStatements(() => writePlacements(rows));
    expect(new Set(outcomes(result))).toEqual(new Set(['created']));
    expect(new Set(outcomes(await writePlacements(rows)))).toEqual(new Set(['unchanged']));
    expect(statements).toBeGreaterThan(0);
    expect(statements).toBeLessThan(50);
  });
});
