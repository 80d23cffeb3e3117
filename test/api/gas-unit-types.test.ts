import { UNIT_POSITIONS } from '../../src/core/hydraulics/unit-positions';
import type { FleetDueItemDto } from '../../src/modules/due-items/dto/due-item.dto';
import type { GasUnitTypeDto } from '../../src/modules/gas-unit-types/dto/gas-unit-type.dto';
import type { GasUnitDto } from '../../src/modules/gas-units/dto/gas-unit.dto';
import { GaugesService } from '../../src/modules/gauges/gauges.service';
import type { GaugeDto } from '../../src/modules/gauges/dto/gauge.dto';
import type {
  UnitPositionDto,
  UnitPositionPageDto,
} from '../../src/modules/unit-positions/dto/unit-position.dto';
import { Transactions } from '../../src/platform/database/transactions';
import { systemPrincipal } from '../../src/platform/security/principal';
import type { ApiClient } from '../support/api-client';
import { Operator } from '../support/operator';
import { startTestApp, TEST_NOW, type TestApp } from '../support/test-app';

let test: TestApp;
let operator: Operator;
let other: Operator;
let api: ApiClient;
let fleetId: string;
let depotId: string;
beforeAll(async () => {
  test = await startTestApp();
  operator = await Operator.of(test, 'Tarn Valley Patient Transport');
  other = await Operator.of(test, 'Another operator');
  api = operator.admin;
  await operator.follows([
    {
      code: 'recharge',
      task: 'unit-recharge',
      scope: 'unit',
      prechargeLimit: { shareOfNominal: 0.8 },
    },
  ]);
  fleetId = await operator.fleet('Patient transport');
  depotId = await operator.depot(fleetId, 'Upper Tarn');
});
afterAll(() => test.close());

// invented figures of the order that such units have; common practice, no published source
const FRONT = {
  code: 'front-55',
  name: 'Front suspension unit',
  roles: ['suspension'],
  nominalPrecharge20BarGauge: 55,
  gasVolumeCm3: 400,
  workingPressureLowBarGauge: 60,
  workingPressureHighBarGauge: 170,
  damperIntegral: true,
};

const addType = (body: object): Promise<GasUnitTypeDto> =>
  api.ok<GasUnitTypeDto>('post', '/v1/gas-unit-types', { body });

describe('types of gas units', () => {
  it('are added once, read and changed with their ETag', async () => {
    const body = { ...FRONT, externalKey: 'T1' };
    const idempotencyKey = 'type-front-55-once';
    const type = await api.ok<GasUnitTypeDto>('post', '/v1/gas-unit-types', { body, idempotencyKey });
    expect(type).toMatchObject({ ...body, note: null, revision: 1 });
    expect(await api.ok('post', '/v1/gas-unit-types', { body, idempotencyKey })).toEqual(type);
    expect(await api.refused('post', '/v1/gas-unit-types', { body })).toEqual([409, '#/code']);
    const sameKey = { ...body, code: 'front-56' };
    expect(await api.refused('post', '/v1/gas-unit-types', { body: sameKey })).toEqual([
      409,
      '#/externalKey',
    ]);

    const path = `/v1/gas-unit-types/${type.id}`;
    const { etag } = await api.call('get', path);
    expect(await api.refused('patch', path, { body: { name: 'x' } })).toEqual([428]);
    const changed = await api.ok<GasUnitTypeDto>('patch', path, {
      ifMatch: etag,
      body: { name: 'Front unit', roles: ['suspension', 'other'], note: null },
    });
    expect(changed).toMatchObject({ name: 'Front unit', roles: ['suspension', 'other'], revision: 2 });
    expect(await api.refused('patch', path, { ifMatch: etag, body: { name: 'y' } })).toEqual([412]);
    expect(
      await api.ok<GasUnitTypeDto>('patch', path, {
        ifMatch: '"r2"',
        body: { roles: ['suspension', 'other'] },
      }),
    ).toEqual(changed);
    expect((await api.ok<{ items: GasUnitTypeDto[] }>('get', '/v1/gas-unit-types')).items).toEqual([changed]);
    expect(await other.admin.refused('get', path)).toEqual([404]);
    expect((await other.admin.ok<{ items: unknown[] }>('get', '/v1/gas-unit-types')).items).toEqual([]);
  });

  it.each<[string, object]>([
    ['#/code', { code: 'Front 55' }],
    ['#/name', { name: '' }],
    ['#/roles', { roles: [] }],
    ['#/roles', { roles: ['suspension', 'suspension'] }],
    ['#/roles', { roles: ['brakes'] }],
    ['#/nominalPrecharge20BarGauge', { nominalPrecharge20BarGauge: 0 }],
    ['#/nominalPrecharge20BarGauge', { nominalPrecharge20BarGauge: 5500 }],
    ['#/gasVolumeCm3', { gasVolumeCm3: -1 }],
    ['#/workingPressureHighBarGauge', { workingPressureHighBarGauge: 60 }],
    ['#/workingPressureLowBarGauge', { workingPressureLowBarGauge: -1 }],
    ['#/damperIntegral', { damperIntegral: 'yes' }],
    ['#/note', { note: '' }],
  ])('are refused at %s: %j', async (pointer, wrong) => {
    const body = { ...FRONT, code: 'wrong', ...wrong };
    expect(await api.refused('post', '/v1/gas-unit-types', { body })).toEqual([422, pointer]);
  });

  it('are for planners who see all fleets', async () => {
    const technician = await operator.colleague('technician');
    expect(await technician.refused('post', '/v1/gas-unit-types', { body: FRONT })).toEqual([403]);
    const { id } = await addType({ ...FRONT, code: 'for-planners' });
    const scoped = await operator.colleague('fleet-planner', [fleetId]);
    const change = { ifMatch: '"r1"', body: { name: 'x' } };
    expect(await scoped.refused('patch', `/v1/gas-unit-types/${id}`, change)).toEqual([403]);
  });

  it('with another nominal precharge move what the vehicles with such units owe', async () => {
    const type = await addType({ ...FRONT, code: 'front-nominal' });
    const vehicleId = await operator.vehicle(depotId, 'TVP 1', { inServiceOn: '2026-01-05' });
    const unit = await api.ok<GasUnitDto>('post', '/v1/gas-units', {
      body: {
        fleetId,
        unitTypeId: type.id,
        serialNumber: 'A1',
        madeOn: '2025-12-01',
        place: { state: 'on-the-shelf', depotId, fromAt: '2025-12-10T09:00:00Z' },
      },
    });
    for (const [doneAt, pressure] of [
      ['2025-12-15T09:00:00Z', 55],
      ['2026-01-05T08:00:00Z', 54.6],
    ] as const) {
      await operator.sql(
        `INSERT INTO gas_unit_events (organisation_id, fleet_id, unit_id, kind, done_at, pressure_bar_gauge,
            gas_temperature_c, ambient_bar, precharge20_bar_gauge, ideal_precharge20_bar_gauge, outcome,
            outcome_reasons, limits, done_by)
          VALUES ($1, $2, $3, 'precharge-test', $4, $5, 20, 1.01325, $5, $5, 'passed', '[]', '{}', 'the test')`,
        [operator.organisationId, fleetId, unit.id, doneAt, pressure],
      );
    }
    await api.ok('post', '/v1/unit-moves', {
      body: {
        at: '2026-01-05T09:00:00Z',
        movedBy: 'technician T07',
        moves: [
          { gasUnitId: unit.id, to: { state: 'fitted', vehicleId, position: 'suspension-front-left' } },
        ],
      },
    });
    const owed = async (): Promise<string> => {
      const page = await api.ok<{ items: FleetDueItemDto[] }>('get', `/v1/vehicles/${vehicleId}/due-items`);
      const item = page.items.find(({ key }) => key === 'recharge@suspension-front-left');
      const explained = await api.ok('get', `/v1/due-items/${item?.id ?? ''}`);
      return JSON.stringify(explained);
    };
    const before = await owed();
    const path = `/v1/gas-unit-types/${type.id}`;
    await api.ok('patch', path, { ifMatch: '"r1"', body: { gasVolumeCm3: 420 } });
    expect(await owed()).toBe(before);
    await api.ok('patch', path, { ifMatch: '"r2"', body: { nominalPrecharge20BarGauge: 60 } });
    expect(await owed()).not.toBe(before);
    const narrowed = { ifMatch: '"r3"', body: { roles: ['main-accumulator'] } };
    expect(await api.refused('patch', path, narrowed)).toEqual([409, '#/roles']);
  });
});

describe('unit positions', () => {
  it('are the standard ones first, then your own, page by page', async () => {
    const own: UnitPositionDto[] = [];
    for (const code of ['tail-lift', 'air-horn']) {
      own.push(
        await api.ok<UnitPositionDto>('post', '/v1/unit-positions', {
          body: { code, name: `Own ${code}`, role: 'other' },
        }),
      );
    }
    expect(own[0]).toMatchObject({ code: 'tail-lift', role: 'other', standard: false, revision: 1 });
    const seen: UnitPositionDto[] = [];
    let path = '/v1/unit-positions?limit=3';
    for (let next: string | null = ''; next !== null;) {
      const page: UnitPositionPageDto = await api.ok<UnitPositionPageDto>('get', path);
      seen.push(...page.items);
      next = page.next;
      path = `/v1/unit-positions?limit=3&cursor=${encodeURIComponent(next ?? '')}`;
    }
    expect(seen.map(({ code }) => code)).toEqual([...UNIT_POSITIONS, 'air-horn', 'tail-lift']);
    expect(seen.map(({ standard }) => standard)).toEqual([...UNIT_POSITIONS.map(() => true), false, false]);
    expect(seen[0]).toMatchObject({ id: null, role: 'suspension', name: 'suspension, front left' });
    const theirs = await other.admin.ok<UnitPositionPageDto>('get', '/v1/unit-positions');
    expect(theirs.items.length).toBe(UNIT_POSITIONS.length);
    expect(await other.admin.refused('get', `/v1/unit-positions/${own[0]!.id!}`)).toEqual([404]);
  });

  it('of your own are changed and deleted while no unit sat there', async () => {
    const body = { code: 'roof-box', name: 'Roof', role: 'other' };
    const { id } = await api.ok<UnitPositionDto>('post', '/v1/unit-positions', { body });
    const path = `/v1/unit-positions/${id!}`;
    const changed = { name: 'Box on the roof', role: 'suspension', revision: 2 };
    expect(
      await api.ok('patch', path, {
        ifMatch: '"r1"',
        body: { name: 'Box on the roof', role: 'suspension' },
      }),
    ).toMatchObject(changed);
    expect(await api.refused('patch', path, { ifMatch: '"r1"', body: { name: 'x' } })).toEqual([412]);
    expect(await api.refused('delete', path)).toEqual([428]);
    expect(await api.refused('delete', path, { ifMatch: '"r1"' })).toEqual([412]);
    expect((await api.call('delete', path, { ifMatch: '"r2"' })).status).toBe(204);
    expect(await api.refused('get', path)).toEqual([404]);

    const again = await api.ok<UnitPositionDto>('post', '/v1/unit-positions', { body });
    const type = await addType({ ...FRONT, code: 'for-the-roof', roles: ['other'] });
    const vehicleId = await operator.vehicle(depotId, 'TVP 2');
    const unit = await api.ok<GasUnitDto>('post', '/v1/gas-units', {
      body: {
        fleetId,
        unitTypeId: type.id,
        serialNumber: 'R1',
        place: { state: 'fitted', vehicleId, position: 'roof-box', fromAt: '2026-11-01T09:00:00Z' },
      },
    });
    expect(unit.place).toMatchObject({ position: 'roof-box' });
    const used = `/v1/unit-positions/${again.id!}`;
    expect(await api.refused('delete', used, { ifMatch: '"r1"' })).toEqual([409]);
    expect(await api.refused('patch', used, { ifMatch: '"r1"', body: { role: 'suspension' } })).toEqual([
      409,
      '#/role',
    ]);
  });

  it.each<[number, string, object]>([
    [409, '#/code', { code: 'main-accumulator' }],
    [409, '#/code', { code: 'tail-lift' }],
    [422, '#/code', { code: 'Tail lift' }],
    [422, '#/name', { name: '' }],
    [422, '#/role', { role: 'door' }],
  ])('are refused with %d at %s: %j', async (status, pointer, wrong) => {
    const body = { code: 'new-one', name: 'New', role: 'other', ...wrong };
    expect(await api.refused('post', '/v1/unit-positions', { body })).toEqual([status, pointer]);
  });

  it('are for planners who see all fleets', async () => {
    const body = { code: 'new-one', name: 'New', role: 'other' };
    const technician = await operator.colleague('technician');
    expect(await technician.refused('post', '/v1/unit-positions', { body })).toEqual([403]);
    const scoped = await operator.colleague('fleet-planner', [fleetId]);
    expect(await scoped.refused('post', '/v1/unit-positions', { body })).toEqual([403]);
    expect(
      (await technician.ok<UnitPositionPageDto>('get', '/v1/unit-positions')).items.length,
    ).toBeGreaterThan(6);
  });
});

describe('gauges', () => {
  const GAUGE = { code: 'G-014', name: 'Rig of bay 2', rangeHighBarGauge: 250 };

  it('say whether their calibration is overdue today', async () => {
    const gauge = await api.ok<GaugeDto>('post', '/v1/gauges', {
      body: { ...GAUGE, calibrationDueOn: '2026-11-25' },
    });
    expect(gauge).toMatchObject({ ...GAUGE, calibrationOverdue: false, retiredOn: null, revision: 1 });
    const path = `/v1/gauges/${gauge.id}`;
    test.setNow(TEST_NOW + 86_400_000);
    expect(await api.ok('get', path)).toEqual({ ...gauge, calibrationOverdue: true });
    expect((await api.ok<{ items: GaugeDto[] }>('get', '/v1/gauges')).items).toEqual([
      { ...gauge, calibrationOverdue: true },
    ]);
    test.setNow(TEST_NOW);
    const calibrated = await api.ok<GaugeDto>('patch', path, {
      ifMatch: '"r1"',
      body: { calibrationDueOn: '2027-11-25' },
    });
    expect(calibrated).toMatchObject({ calibrationDueOn: '2027-11-25', revision: 2 });
    expect(await api.refused('patch', path, { ifMatch: '"r1"', body: { name: 'x' } })).toEqual([412]);
    expect(await api.refused('patch', path, { body: { name: 'x' } })).toEqual([428]);
    expect(await api.refused('post', '/v1/gauges', { body: GAUGE })).toEqual([409, '#/code']);
    expect(await other.admin.refused('get', path)).toEqual([404]);
    const unknown = await api.ok<GaugeDto>('post', '/v1/gauges', { body: { ...GAUGE, code: 'G-015' } });
    expect(unknown).toMatchObject({ calibrationDueOn: null, calibrationOverdue: false });
    await api.ok('patch', path, { ifMatch: '"r2"', body: { retiredOn: '2026-11-20' } });
    const codes = async (query: string): Promise<string[]> =>
      (await api.ok<{ items: GaugeDto[] }>('get', `/v1/gauges${query}`)).items.map(({ code }) => code);
    expect(await codes('')).toEqual(['G-015']);
    expect(await codes('?includeRetired=true')).toEqual(['G-014', 'G-015']);

    const principal = systemPrincipal(operator.organisationId, 'testing');
    const found = await test.app
      .get(Transactions)
      .read(principal, (tx) =>
        test.app.get(GaugesService).findByIds(tx, [gauge.id, operator.organisationId]),
      );
    expect([...found.keys()]).toEqual([gauge.id]);
    expect(found.get(gauge.id)).toMatchObject({ code: 'G-014' });
    const vehicleId = await operator.vehicle(depotId, 'TVP 14', { inServiceOn: '2026-01-05' });
    const reading = { task: 'low-pressure-warning-test', warningBarGauge: 90, doneBy: 'T07' };
    const refused = await api.refused('post', `/v1/vehicles/${vehicleId}/system-tests`, {
      body: { ...reading, doneAt: '2026-11-01T09:00:00Z', gaugeId: operator.organisationId },
    });
    expect(refused).toEqual([422, '#/gaugeId']);
  });

  it.each<[string, object]>([
    ['#/code', { code: '' }],
    ['#/name', { name: '' }],
    ['#/rangeHighBarGauge', { rangeHighBarGauge: 0 }],
    ['#/calibrationDueOn', { calibrationDueOn: '2026-02-29' }],
    ['#/retiredOn', { retiredOn: 'never' }],
  ])('are refused at %s: %j', async (pointer, wrong) => {
    const body = { ...GAUGE, code: 'G-099', ...wrong };
    expect(await api.refused('post', '/v1/gauges', { body })).toEqual([422, pointer]);
  });

  it('are for planners', async () => {
    const technician = await operator.colleague('technician');
    expect(await technician.refused('post', '/v1/gauges', { body: GAUGE })).toEqual([403]);
  });
});
