import { forecastPrecharge } from '../../src/core/precharge/forecast-precharge';
import { defaultPrechargeModel, type PrechargeObservation } from '../../src/core/precharge/precharge-model';
import { fromEpochDay, toEpochDay } from '../../src/core/shared/calendar-date';
import { starterProgramme } from '../../src/core/due/starter-programme';
import type { FleetDueItemDto } from '../../src/modules/due-items/dto/due-item.dto';
import { DueItemsService } from '../../src/modules/due-items/due-items.service';
import type {
  GasUnitEventDto,
  GasUnitEventPageDto,
} from '../../src/modules/gas-unit-events/dto/gas-unit-event.dto';
import type { PrechargeForecastDto } from '../../src/modules/gas-unit-events/dto/precharge-forecast.dto';
import type { RecordedGasUnitEventDto } from '../../src/modules/gas-unit-events/dto/recorded-gas-unit-event.dto';
import {
  GasUnitEventsService,
  type GasUnitEventRow,
} from '../../src/modules/gas-unit-events/gas-unit-events.service';
import type { ProgrammeVersionDto } from '../../src/modules/service-programmes/dto/programme-version.dto';
import type { ServiceProgrammeDto } from '../../src/modules/service-programmes/dto/service-programme.dto';
import type { NewOrganisation } from '../../src/platform/database/create-organisation';
import { Transactions } from '../../src/platform/database/transactions';
import { systemPrincipal } from '../../src/platform/security/principal';
import { addKey, apiClient, asOwner, type ApiClient, type CallOptions } from '../support/api-client';
import { send } from '../support/send';
import { startTestApp, type TestApp } from '../support/test-app';

let test: TestApp;
let organisation: NewOrganisation;
let api: ApiClient;
let fleetId: string;
let depotId: string;
let typeId: string;
let gaugeId: string;

const FRONT_LEFT = 'suspension-front-left';
const LIMIT = 44; // 80 % of 55 bar, the rule below

beforeAll(async () => {
  test = await startTestApp();
  organisation = await test.organisation('Tarn Valley Patient Transport');
  api = apiClient(test, organisation.administratorKey);
  const programme = await api.ok<ServiceProgrammeDto>('post', '/v1/service-programmes', {
    body: {
      name: 'Minibuses',
      rules: [
        { code: 'unit-test', task: 'precharge-test', scope: 'unit', everyMonths: 24, safetyCritical: true },
        {
          code: 'unit-recharge',
          task: 'recharge',
          scope: 'unit',
          positions: [FRONT_LEFT, 'suspension-front-right'],
          prechargeLimit: { shareOfNominal: 0.8 },
          unitAgeMonths: 120,
          unitAgeSince: 'last-charge',
          satisfies: ['precharge-test'],
        },
      ],
    },
  });
  const version = `/v1/service-programmes/${programme.id}/versions/${programme.latestVersion?.id ?? ''}`;
  const { etag } = await api.call<ProgrammeVersionDto>('get', version);
  await api.ok('post', `${version}/publish`, { ifMatch: etag, body: { effectiveOn: '2026-11-25' } });
  fleetId = await create('/v1/fleets', { name: 'Patient transport', serviceProgrammeId: programme.id });
  depotId = await create('/v1/depots', { name: 'Upper Tarn', zone: 'Europe/London', fleetId });
  [{ id: typeId }] = (await insert('gas_unit_types', {
    code: 'front-55',
    name: 'Front suspension, 55 bar',
    roles: '{suspension,main-accumulator}',
    nominal_precharge20_bar_gauge: 55,
    gas_volume_cm3: 400,
    damper_integral: false,
  })) as [{ id: string }];
  gaugeId = await gauge({ calibration_due_on: '2026-06-30' });
});
afterAll(() => test.close());

const create = async (path: string, body: object): Promise<string> =>
  (await api.ok<{ id: string }>('post', path, { body })).id;

async function insert(table: string, values: Record<string, unknown>): Promise<{ id: string }[]> {
  const row = { organisation_id: organisation.organisationId, ...values };
  const names = Object.keys(row);
  return asOwner(
    test,
    organisation.organisationId,
    `INSERT INTO ${table} (${names.join(', ')}) VALUES (${names.map((_, at) => `$${at + 1}`).join(', ')}) RETURNING id`,
    Object.values(row),
  );
}

let marks = 100;
const vehicle = (): Promise<string> => {
  marks += 1;
  return create('/v1/vehicles', {
    depotId,
    registrationMark: `TVP ${marks}`,
    dutyClass: 'normal',
    odometerUnit: 'km',
    inServiceOn: '2020-03-01',
  });
};

async function gauge(facts: object): Promise<string> {
  marks += 1;
  const [{ id }] = (await insert('gauges', {
    code: `G-${marks}`,
    name: 'Charging rig',
    range_high_bar_gauge: 100,
    ...facts,
  })) as [{ id: string }];
  return id;
}

interface Placement {
  state: string;
  from: string;
  until?: string;
  vehicleId?: string;
  position?: string;
}

async function unitAt(placements: Placement[], facts: object = {}): Promise<string> {
  marks += 1;
  const [{ id }] = (await insert('gas_units', {
    fleet_id: fleetId,
    unit_type_id: typeId,
    serial_number: `N7-${marks}`,
    made_on: '2021-02-01',
    ...facts,
  })) as [{ id: string }];
  for (const { state, from, until, vehicleId, position } of placements) {
    await insert('unit_placements', {
      fleet_id: fleetId,
      unit_id: id,
      state,
      from_at: `${from}T08:00:00Z`,
      until_at: until === undefined ? null : `${until}T08:00:00Z`,
      vehicle_id: vehicleId ?? null,
      position: position ?? null,
      moved_by: 'R. Hale',
    });
  }
  const vehicleIds = placements.flatMap(({ vehicleId }) => vehicleId ?? []);
  await test.app
    .get(Transactions)
    .run(worker(), (tx) => test.app.get(DueItemsService).recompute(tx, worker(), vehicleIds));
  return id;
}

const fitted = (vehicleId: string, from = '2021-03-01', position = FRONT_LEFT): Promise<string> =>
  unitAt([{ state: 'fitted', from, vehicleId, position }]);

const READING = {
  doneAt: '2026-11-20T10:00:00Z',
  pressureBarGauge: 50,
  gasTemperatureC: 20,
  doneBy: 'R. Hale',
};
const GAS = { gas: 'nitrogen' };

const tested = (unitId: string, body: object = {}): Promise<RecordedGasUnitEventDto> =>
  api.ok<RecordedGasUnitEventDto>('post', `/v1/gas-units/${unitId}/precharge-tests`, {
    body: { ...READING, ...body },
  });
const charged = (unitId: string, body: object = {}): Promise<RecordedGasUnitEventDto> =>
  api.ok<RecordedGasUnitEventDto>('post', `/v1/gas-units/${unitId}/charges`, {
    body: { ...READING, ...GAS, ...body },
  });
const refusedTest = (unitId: string, body: object): Promise<unknown[]> =>
  api.refused('post', `/v1/gas-units/${unitId}/precharge-tests`, { body: { ...READING, ...body } });
const forecastOf = (unitId: string): Promise<PrechargeForecastDto> =>
  api.ok<PrechargeForecastDto>('get', `/v1/gas-units/${unitId}/forecast`);

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

const worker = () => systemPrincipal(organisation.organisationId, 'importing');
const recomputeAll = () => test.app.get(DueItemsService).recomputeInBatches(worker());

const writeBatch = (rows: GasUnitEventRow[]) =>
  test.app
    .get(Transactions)
    .run(worker(), (tx) => test.app.get(GasUnitEventsService).writeBatch(tx, worker(), rows));

describe('a precharge test', () => {
  it('is normalised to 20 °C by the real gas, passes, and settles what it owed', async () => {
    const vehicleId = await vehicle();
    const unitId = await fitted(vehicleId);
    const overdue = (await itemsOf(vehicleId)).get(`unit-test@${FRONT_LEFT}`);
    // by hand: 24 months after the unit was fitted
    expect(overdue?.dueOn).toBe('2023-03-01');

    const answer = await api.call<RecordedGasUnitEventDto>(
      'post',
      `/v1/gas-units/${unitId}/precharge-tests`,
      {
        body: { ...READING, pressureBarGauge: 40, gasTemperatureC: -20, gaugeId: await gauge({}) },
      },
    );
    expect([answer.status, answer.etag]).toEqual([201, '"r1"']);
    const event = answer.body;
    // 40 bar read at -20 °C: 47.3929 bar by the equation of Span et al. (2000), 47.3919 by the GERG-2008 code of
    // NIST, 46.4805 by the ideal-gas law
    expect(event.precharge20BarGauge).toBeCloseTo(47.393, 3);
    expect(Math.abs(event.precharge20BarGauge - 47.3919)).toBeLessThan(0.003);
    expect(Math.abs(event.idealPrecharge20BarGauge - 46.4805)).toBeLessThan(0.001);
    expect(event).toMatchObject({
      kind: 'precharge-test',
      vehicleId,
      position: FRONT_LEFT,
      ambientBar: 1.01325,
      shareOfNominal: 0.8617,
      outcome: 'passed',
      limits: { nominal20BarGauge: 55, limit20BarGauge: LIMIT, ruleCode: 'unit-recharge' },
      gaugeOverdue: null,
      warnings: [],
      likelyFahrenheitReadingC: null,
      forecastBefore: null,
      voidedAt: null,
    });
    expect(event.outcomeReasons).toEqual([
      '47.39 bar at 20 °C is not below the limit of 44.00 bar (rule unit-recharge of the service programme).',
    ]);
    expect(event.cautions.map(({ code }) => code)).toEqual(
      expect.arrayContaining(['nitrogen-only', 'release-pressure-first', 'advice-not-a-certificate']),
    );
    expect(event.clears).toEqual([
      expect.objectContaining({
        vehicleId,
        key: `unit-test@${FRONT_LEFT}`,
        dueOnBefore: '2023-03-01',
        dueOnAfter: '2028-11-20',
        comesBack: true,
      }),
    ]);
    expect(event.forecastAfter?.limit20BarGauge).toBe(LIMIT);

    const items = await itemsOf(vehicleId);
    expect(items.get(`unit-test@${FRONT_LEFT}`)?.dueOn).toBe('2028-11-20');
    // the condition drives the recharge now; its median is the forecast's
    const recharge = items.get(`unit-recharge@${FRONT_LEFT}`);
    expect(event.moves.map(({ key }) => key)).toEqual([`unit-recharge@${FRONT_LEFT}`]);
    expect(event.moves[0]?.dueOnAfter).toBe(recharge?.dueOn);
    expect([recharge?.earliestOn, recharge?.latestOn].every((on) => typeof on === 'string')).toBe(true);

    const [audited] = await asOwner<{ action: string; vehicle_id: string }>(
      test,
      organisation.organisationId,
      `SELECT action, vehicle_id FROM audit_entries WHERE subject_type = 'gas-unit-event' AND subject_id = $1`,
      [event.id],
    );
    expect(audited).toEqual({ action: 'created', vehicle_id: vehicleId });
  });

  it('that fails is owed again until the unit is charged, and again once that charge is void', async () => {
    const vehicleId = await vehicle();
    const unitId = await fitted(vehicleId);
    await tested(unitId, { doneAt: '2026-10-01T10:00:00Z', pressureBarGauge: 46 });
    const failed = await tested(unitId, { doneAt: '2026-11-10T10:00:00Z', pressureBarGauge: 43 });
    expect(failed.outcome).toBe('failed');
    expect(failed.outcomeReasons[0]).toMatch(
      /43\.00 bar .* below the limit of 44\.00 bar .*: recharge or replace/,
    );
    expect(failed.raises.map(({ key, dueOn }) => [key, dueOn])).toEqual([
      [`unit-test@${FRONT_LEFT}`, '2026-11-10'],
    ]);
    expect((await itemsOf(vehicleId)).get(`unit-test@${FRONT_LEFT}`)?.driver).toBe('failed-test');

    const charge = await charged(unitId, { doneAt: '2026-11-12T10:00:00Z', pressureBarGauge: 55 });
    expect(charge).toMatchObject({ kind: 'charge', outcome: 'passed' });
    expect(charge.cautions.map(({ code }) => code)).toContain('pressure-vessel-law');
    expect(charge.clears.map(({ key }) => key)).toContain(`unit-test@${FRONT_LEFT}`);
    expect(charge.clears.map(({ key }) => key)).toContain(`unit-recharge@${FRONT_LEFT}`);
    const [before, after] = [charge.forecastBefore?.medianOn ?? '', charge.forecastAfter?.medianOn ?? ''];
    expect(before < after).toBe(true);
    expect((await itemsOf(vehicleId)).get(`unit-test@${FRONT_LEFT}`)?.driver).not.toBe('failed-test');

    const path = `/v1/gas-unit-events/${charge.id}`;
    const body = { reason: 'the rig leaked; nothing was charged' };
    expect(await api.refused('post', `${path}/void`, { body })).toEqual([428]);
    expect(await api.refused('post', `${path}/void`, { body, ifMatch: '"r9"' })).toEqual([412]);
    expect(await api.refused('post', `${path}/void`, { body: {}, ifMatch: '"r1"' })).toEqual([
      422,
      '#/reason',
    ]);
    const voided = await api.ok<GasUnitEventDto>('post', `${path}/void`, { body, ifMatch: '"r1"' });
    expect(voided).toMatchObject({ voidReason: body.reason, revision: 2 });
    expect(await api.refused('post', `${path}/void`, { body, ifMatch: '"r2"' })).toEqual([409]);
    expect((await itemsOf(vehicleId)).get(`unit-test@${FRONT_LEFT}`)?.driver).toBe('failed-test');
    expect((await forecastOf(unitId)).observations).toHaveLength(2);
    expect(await api.ok('get', path)).toEqual(voided);
  });

  it('that cannot be told is inconclusive, and settles nothing', async () => {
    const vehicleId = await vehicle();
    const unitId = await fitted(vehicleId);
    const before = (await itemsOf(vehicleId)).get(`unit-test@${FRONT_LEFT}`)?.dueOn;

    // 68 °F is 20 °C, by definition of the scales
    const hot = await tested(unitId, { gasTemperatureC: 68 });
    expect(hot).toMatchObject({ outcome: 'inconclusive', likelyFahrenheitReadingC: 20, clears: [] });
    expect(hot.warnings[0]).toContain('68 °F is 20.0 °C');

    // beyond 3 % of the limit (44 ± 1.32 bar) an overdue gauge is trusted
    for (const [pressureBarGauge, outcome] of [
      [45.3, 'inconclusive'],
      [42.7, 'inconclusive'],
      [45.4, 'passed'],
      [42.6, 'failed'],
    ] as const) {
      const doneAt = '2026-08-01T10:00:00Z';
      const event = await tested(unitId, { pressureBarGauge, doneAt, gaugeId });
      expect([pressureBarGauge, event.outcome, event.gaugeOverdue]).toEqual([
        pressureBarGauge,
        outcome,
        true,
      ]);
      await api.ok('post', `/v1/gas-unit-events/${event.id}/void`, {
        body: { reason: 'next' },
        ifMatch: '"r1"',
      });
    }
    // on the last day of its calibration the gauge is not overdue
    const onTheDay = await tested(unitId, { pressureBarGauge: 44, doneAt: '2026-06-30T10:00:00Z', gaugeId });
    expect([onTheDay.outcome, onTheDay.gaugeOverdue]).toEqual(['passed', false]);
    await api.ok('post', `/v1/gas-unit-events/${onTheDay.id}/void`, {
      body: { reason: 'x' },
      ifMatch: '"r1"',
    });

    const high = await tested(unitId, { pressureBarGauge: 66.1 });
    expect(high.outcome).toBe('inconclusive');
    expect(high.outcomeReasons[0]).toContain('fluid pressure on the other side');
    expect((await itemsOf(vehicleId)).get(`unit-test@${FRONT_LEFT}`)?.dueOn).toBe(before);
  });

  it('counts the ambient pressure by barometer or altitude', async () => {
    const unitId = await unitAt([{ state: 'on-the-shelf', from: '2021-02-02' }]);
    // ISO 2533: 0.95461 bar at 500 m
    const high = await tested(unitId, { altitudeM: 500, gasTemperatureC: 5 });
    expect(high).toMatchObject({ ambientBar: 0.95461, altitudeM: 500, vehicleId: null, position: null });
    const same = await tested(unitId, { ambientBar: 0.95461, gasTemperatureC: 5 });
    expect(same.precharge20BarGauge).toBeCloseTo(high.precharge20BarGauge, 3);
  });
});

describe('where and by what a unit is judged', () => {
  it('is where it was then, and the vehicle where it is now follows', async () => {
    const [first, second] = [await vehicle(), await vehicle()];
    const unitId = await unitAt([
      { state: 'fitted', from: '2022-01-10', until: '2025-05-01', vehicleId: first, position: FRONT_LEFT },
      { state: 'on-the-shelf', from: '2025-05-01', until: '2025-06-01' },
      { state: 'fitted', from: '2025-06-01', vehicleId: second, position: 'suspension-front-right' },
    ]);
    const then = await tested(unitId, { doneAt: '2024-01-10T10:00:00Z', pressureBarGauge: 52 });
    expect([then.vehicleId, then.position]).toEqual([first, FRONT_LEFT]);
    const between = await tested(unitId, { doneAt: '2025-05-10T10:00:00Z', pressureBarGauge: 50 });
    expect([between.vehicleId, between.position, between.outcome]).toEqual([null, null, 'passed']);
    // on the bench the fleet's programme judges
    expect(between.limits).toEqual({
      nominal20BarGauge: 55,
      limit20BarGauge: LIMIT,
      ruleCode: 'unit-recharge',
    });
    expect(between.moves.map(({ vehicleId, key }) => [vehicleId, key])).toEqual([
      [second, 'unit-recharge@suspension-front-right'],
    ]);
    const start = await tested(unitId, { doneAt: '2025-06-01T08:00:00Z', pressureBarGauge: 50 });
    expect(start.vehicleId).toBe(second);
    const stored = await dump();
    await recomputeAll();
    expect(await dump()).toEqual(stored);
  });

  it('falls back to the share of nominal of the programme, and of the trade', async () => {
    // 1: no rule of the position's own sets a limit, and the programme tests for no share
    const own = await fitted(await vehicle(), '2021-03-01', 'main-accumulator');
    const usual = await tested(own, { pressureBarGauge: 43 });
    expect(usual).toMatchObject({ outcome: 'failed', limits: { limit20BarGauge: LIMIT, ruleCode: null } });
    expect(usual.outcomeReasons[0]).toContain('80 % of nominal by common practice');
    expect(usual.cautions.map(({ code }) => code)).toContain('no-pressure-no-brakes');
    expect((await forecastOf(own)).limit.origin).toBe('common-practice');

    // 2: the starter programme tests the main accumulator for 80 % of nominal
    const programme = await api.ok<ServiceProgrammeDto>('post', '/v1/service-programmes', {
      body: { name: 'Starter', ...starterProgramme() },
    });
    const version = `/v1/service-programmes/${programme.id}/versions/${programme.latestVersion?.id ?? ''}`;
    const { etag } = await api.call('get', version);
    await api.ok('post', `${version}/publish`, { ifMatch: etag, body: { effectiveOn: '2026-11-25' } });
    const vehicleId = await vehicle();
    const path = `/v1/vehicles/${vehicleId}`;
    const { etag: revision } = await api.call('get', path);
    await api.ok('patch', path, { ifMatch: revision, body: { serviceProgrammeId: programme.id } });
    const unitId = await fitted(vehicleId, '2021-03-01', 'main-accumulator');
    const by = await tested(unitId, { pressureBarGauge: 45 });
    expect(by.outcomeReasons[0]).toContain('80 % of nominal by the service programme');
  });
});

describe('bad input', () => {
  it('is refused with the field and the remedy, and nothing is stored', async () => {
    const unitId = await fitted(await vehicle());
    const retired = await gauge({ retired_on: '2026-11-01' });
    const [pressure, temperature, moment] = ['#/pressureBarGauge', '#/gasTemperatureC', '#/doneAt'];
    const cases: [object, ...string[]][] = [
      [{ pressureBarGauge: 249 }, pressure], // 250.01 bar absolute
      [{ pressureBarGauge: -1.5 }, pressure],
      [{ pressureBarGauge: '50' }, pressure],
      [{ pressureBarGauge: 101, gaugeId }, pressure], // beyond the gauge's 100 bar
      [{ gasTemperatureC: -40.1 }, temperature],
      [{ gasTemperatureC: 80.1 }, temperature],
      [{ ambientBar: 0.95, altitudeM: 500 }, '#/ambientBar'],
      [{ ambientBar: 1013 }, '#/ambientBar'],
      [{ altitudeM: 6000 }, '#/altitudeM'],
      [{ gaugeId: '01980000-0000-7000-8000-000000000000' }, '#/gaugeId'],
      [{ gaugeId: retired }, '#/gaugeId'],
      [{ doneAt: '2026-11-25T12:00:01Z' }, moment], // the clock shows noon
      [{ doneAt: '2021-01-31T10:00:00Z' }, moment], // a day before it was made
      [{ doneAt: '2026-11-20' }, moment],
      [{ doneBy: '' }, '#/doneBy'],
      [{ note: '' }, '#/note'],
      [{ gas: 'nitrogen' }, '#/gas'], // a test has none
      [
        { pressureBarGauge: -1.5, doneAt: '2026-11-25T12:00:01Z', gaugeId: retired },
        moment,
        '#/gaugeId',
        pressure,
      ],
    ];
    for (const [body, ...pointers] of cases) {
      expect([body, await refusedTest(unitId, body)]).toEqual([body, [422, ...pointers]]);
    }
    const { items } = await api.ok<GasUnitEventPageDto>(
      'get',
      `/v1/gas-units/${unitId}/events?includeVoided=true`,
    );
    expect(items).toEqual([]);

    const explained = async (body: object) =>
      JSON.stringify(
        (await api.call('post', `/v1/gas-units/${unitId}/precharge-tests`, { body: { ...READING, ...body } }))
          .body,
      );
    // 104 °F is 40 °C
    expect(await explained({ gasTemperatureC: 104 })).toContain('104 °F is 40.0 °C');
    expect(await explained({ pressureBarGauge: -1.5 })).toContain('no pressure is below zero');
    expect(await explained({ pressureBarGauge: 249 })).toContain('0.5 to 250 bar absolute');
    expect(await explained({ pressureBarGauge: 101, gaugeId })).toContain('100 bar');

    for (const gas of ['oxygen', 'air', undefined]) {
      const body = { ...READING, gas };
      const refusal = await api.call<{ errors: { pointer: string; detail: string }[] }>(
        'post',
        `/v1/gas-units/${unitId}/charges`,
        { body },
      );
      expect([refusal.status, refusal.body.errors[0]?.pointer]).toEqual([422, '#/gas']);
      expect(refusal.body.errors[0]?.detail).toContain('never with oxygen or air');
    }
  });

  it('includes a unit that is scrapped, from that moment on', async () => {
    const vehicleId = await vehicle();
    const unitId = await unitAt([
      { state: 'fitted', from: '2022-01-10', until: '2026-10-01', vehicleId, position: FRONT_LEFT },
      { state: 'scrapped', from: '2026-10-01' },
    ]);
    expect(await refusedTest(unitId, { doneAt: '2026-10-01T08:00:00Z' })).toEqual([422, '#/doneAt']);
    expect(await refusedTest(unitId, {})).toEqual([422, '#/doneAt']);
    const late = await tested(unitId, { doneAt: '2026-10-01T07:59:59Z' });
    expect(late.vehicleId).toBe(vehicleId);
  });
});

describe('access', () => {
  it('lets everybody record, and the office take back', async () => {
    const unitId = await fitted(await vehicle());
    const path = `/v1/gas-units/${unitId}/precharge-tests`;
    const events: string[] = [];
    for (const role of ['technician', 'dealer-system', 'front-desk'] as const) {
      const key = await addKey(test, organisation, role);
      events.push((await apiClient(test, key).ok<{ id: string }>('post', path, { body: READING })).id);
    }
    const options: CallOptions = { body: { reason: 'typed twice' }, ifMatch: '"r1"' };
    for (const role of ['technician', 'dealer-system'] as const) {
      const other = apiClient(test, await addKey(test, organisation, role));
      expect(await other.refused('post', `/v1/gas-unit-events/${events[0] ?? ''}/void`, options)).toEqual([
        403,
      ]);
    }
    const desk = apiClient(test, await addKey(test, organisation, 'front-desk'));
    await desk.ok('post', `/v1/gas-unit-events/${events[0] ?? ''}/void`, options);

    const stranger = apiClient(test, (await test.organisation('Another')).administratorKey);
    const otherFleet = await create('/v1/fleets', { name: `School runs ${marks}` });
    const outside = apiClient(test, await addKey(test, organisation, 'fleet-planner', [otherFleet]));
    for (const client of [stranger, outside]) {
      expect(await client.refused('post', path, { body: READING })).toEqual([404]);
      expect(
        await client.refused('post', `/v1/gas-units/${unitId}/charges`, { body: { ...READING, ...GAS } }),
      ).toEqual([404]);
      for (const what of ['events', 'forecast', 'trend.svg']) {
        expect(await client.refused('get', `/v1/gas-units/${unitId}/${what}`)).toEqual([404]);
      }
      expect(await client.refused('get', `/v1/gas-unit-events/${events[1] ?? ''}`)).toEqual([404]);
      expect(await client.refused('post', `/v1/gas-unit-events/${events[1] ?? ''}/void`, options)).toEqual([
        404,
      ]);
    }
  });

  it('answers a repetition from the first answer, and a key once', async () => {
    const unitId = await fitted(await vehicle());
    const path = `/v1/gas-units/${unitId}/precharge-tests`;
    const body = { ...READING, externalKey: 'T-4711' };
    const options = { body, idempotencyKey: 'test-of-unit-4711' };
    const first = await api.ok('post', path, options);
    expect(await api.ok('post', path, options)).toEqual(first);
    expect(await api.refused('post', path, { body })).toEqual([409, '#/externalKey']);
    const { items } = await api.ok<GasUnitEventPageDto>('get', `/v1/gas-units/${unitId}/events`);
    expect(items).toHaveLength(1);
  });

  it('lists the latest first, by kind and page by page', async () => {
    const unitId = await fitted(await vehicle());
    for (const [month, pressureBarGauge] of [
      ['01', 54],
      ['02', 53],
      ['03', 52],
    ] as const) {
      await tested(unitId, { doneAt: `2024-${month}-10T10:00:00Z`, pressureBarGauge });
    }
    const charge = await charged(unitId, { doneAt: '2024-02-20T10:00:00Z', pressureBarGauge: 55 });
    const path = `/v1/gas-units/${unitId}/events`;
    const all = await api.ok<GasUnitEventPageDto>('get', path);
    expect(all.items.map(({ pressureBarGauge }) => pressureBarGauge)).toEqual([52, 55, 53, 54]);
    const charges = await api.ok<GasUnitEventPageDto>('get', `${path}?kind=charge`);
    expect(charges.items.map(({ id }) => id)).toEqual([charge.id]);
    const paged: number[] = [];
    for (let next: string | null = ''; next !== null;) {
      const page: GasUnitEventPageDto = await api.ok(
        'get',
        `${path}?limit=1${next === '' ? '' : `&cursor=${next}`}`,
      );
      paged.push(...page.items.map(({ pressureBarGauge }) => pressureBarGauge));
      ({ next } = page);
    }
    expect(paged).toEqual([52, 55, 53, 54]);
    expect(await api.refused('get', `${path}?kind=topping-up`)).toEqual([422, 'kind']);
    expect(await api.refused('get', `${path}?cursor=made-up`)).toEqual([422, 'cursor']);
  });
});

describe('a forecast', () => {
  it('tells what the calculation says of the same observations', async () => {
    const vehicleId = await vehicle();
    const unitId = await fitted(vehicleId);
    const record: [day: string, bar: number][] = [
      ['2022-11-20', 55],
      ['2023-11-20', 53.1],
      ['2024-11-20', 51.2],
      ['2025-05-20', 64.5], // a rise that nobody charged
      ['2025-11-20', 49.4],
    ];
    for (const [day, pressureBarGauge] of record) {
      const write = day === '2022-11-20' ? charged : tested;
      await write(unitId, { doneAt: `${day}T10:00:00Z`, pressureBarGauge });
    }
    const told = await forecastOf(unitId);
    const observations = record.map(([day, precharge20BarGauge], at): PrechargeObservation => ({
      id: told.observations[at]?.eventId ?? '',
      day: toEpochDay(day),
      kind: at === 0 ? 'charge' : 'precharge-test',
      precharge20BarGauge,
    }));
    const outlook = forecastPrecharge(observations, defaultPrechargeModel(), { limit20BarGauge: LIMIT });
    const dates = [outlook?.earliestOn, outlook?.medianOn, outlook?.latestOn].map((day) =>
      fromEpochDay(day!),
    );
    expect([told.earliestOn, told.medianOn, told.latestOn]).toEqual(dates);
    expect(told.observations.map(({ used }) => used)).toEqual([true, true, true, false, true]);
    expect(told.observations[3]).toMatchObject({ leftOutCode: 'rise-without-charge', doneOn: '2025-05-20' });
    expect(told.observations[3]?.leftOutReason).toContain('64.5 bar on 2025-05-20');
    expect(told.model).toMatchObject({ origin: 'default-prior', units: 0, fittedAt: null });
    expect(told.limit).toMatchObject({ limit20BarGauge: LIMIT, ruleCode: 'unit-recharge', origin: 'rule' });
    // the four readings lose ln(56.01 / 50.41) / 3 = 3.5 % a year, the type 4.5 % by assumption
    expect(told.lossPerYear?.share).toBeGreaterThan(0.03);
    expect(told.lossPerYear?.share).toBeLessThan(0.045);
    expect(told.present!.low20BarGauge).toBeLessThan(told.present!.median20BarGauge);
    expect(told.present!.median20BarGauge).toBeLessThan(49.4);
    const chances = told.probabilityBelowLimit;
    expect(chances.map(({ daysAhead, on }) => [daysAhead, on])).toEqual([
      [0, '2026-11-25'],
      [90, '2027-02-23'],
      [180, '2027-05-24'],
      [365, '2027-11-25'],
    ]);
    expect(chances.map(({ probability }) => probability)).toEqual(
      chances.map(({ probability }) => probability).toSorted((a, b) => a - b),
    );
    const today = told.band.find(({ on }) => on === '2026-11-25');
    expect(today?.median20BarGauge).toBeCloseTo(told.present!.median20BarGauge, 3);
    expect(told.band[0]?.on).toBe('2022-11-20');
    expect(told.missing).toEqual([]);
    expect(told.cautions.map(({ code }) => code)).toEqual(['advice-not-a-certificate']);
    // the due item has the same days
    const item = (await itemsOf(vehicleId)).get(`unit-recharge@${FRONT_LEFT}`);
    expect([item?.earliestOn, item?.dueOn]).toEqual([told.earliestOn, told.medianOn]);

    const picture = await send(test, 'GET', `/v1/gas-units/${unitId}/trend.svg`, {
      key: organisation.administratorKey,
    });
    expect([picture.status, picture.headers['content-type']]).toEqual([200, 'image/svg+xml; charset=utf-8']);
    expect(picture.text).toMatch(/^<svg [\s\S]*<\/svg>\s*$/);
    expect(picture.text).toContain('Test 2025-05-20: 64.5 bar, left out.');
    expect(picture.text).toContain('Recharge 2022-11-20: charged to 55.0 bar.');
    expect(picture.text).toContain(`TVP ${marks - 1}, ${FRONT_LEFT}`);
  });

  it('of a unit that nobody measured says what to record', async () => {
    const unitId = await unitAt([]);
    const told = await forecastOf(unitId);
    expect(told).toMatchObject({ zone: 'UTC', present: null, medianOn: null, openEnd: null, band: [] });
    expect(told.missing).toEqual([`Record a precharge test or a charge of unit ${told.serialNumber}.`]);
    const key = organisation.administratorKey;
    expect((await send(test, 'GET', `/v1/gas-units/${unitId}/trend.svg`, { key })).text).toContain('<svg');
  });
});

describe('writers at the same time', () => {
  it('leave the due items that follow from everything recorded', async () => {
    const vehicleId = await vehicle();
    const unitId = await fitted(vehicleId);
    const [first, ...rest] = await Promise.all(
      Array.from({ length: 6 }, (_, at) =>
        tested(unitId, { doneAt: `2026-0${at + 1}-10T10:00:00Z`, pressureBarGauge: 54 - at }),
      ),
    );
    await Promise.all([
      api.ok('post', `/v1/gas-unit-events/${first?.id ?? ''}/void`, {
        body: { reason: 'x' },
        ifMatch: '"r1"',
      }),
      charged(unitId, { doneAt: '2026-09-10T10:00:00Z', pressureBarGauge: 55 }),
    ]);
    // a unit that is tested on the bench while another fits it: whichever comes first, nothing is missed
    for (let round = 0; round < 6; round++) {
      const bus = await vehicle();
      const spare = await unitAt([{ state: 'on-the-shelf', from: '2021-03-01' }]);
      const move = { gasUnitId: spare, to: { state: 'fitted', vehicleId: bus, position: FRONT_LEFT } };
      await Promise.all([
        tested(spare, { doneAt: '2026-11-20T10:00:00Z' }),
        api.ok('post', '/v1/unit-moves', {
          body: { at: '2026-11-19T10:00:00Z', movedBy: 'R. Hale', moves: [move] },
        }),
      ]);
    }
    expect(rest.every(({ outcome }) => outcome === 'passed')).toBe(true);
    const stored = await dump();
    await recomputeAll();
    expect(await dump()).toEqual(stored);
    expect((await forecastOf(unitId)).observations).toHaveLength(6);
  });
});

describe('a batch', () => {
  it('creates, corrects and repeats in the order of its rows; a bad row stops no other', async () => {
    const vehicleId = await vehicle();
    const unitId = await fitted(vehicleId);
    const other = await fitted(await vehicle());
    const overdue = gaugeId;
    const rows: GasUnitEventRow[] = [
      {
        ...READING,
        unitId,
        kind: 'charge',
        doneAt: '2023-01-10T10:00:00Z',
        pressureBarGauge: 55,
        externalKey: 'B1',
      },
      { ...READING, unitId, kind: 'precharge-test', doneAt: '2025-01-10T10:00:00Z', pressureBarGauge: 52 },
      {
        ...READING,
        unitId,
        kind: 'precharge-test',
        doneAt: '2026-01-10T10:00:00Z',
        pressureBarGauge: 43,
        note: 'low',
      },
      { ...READING, unitId: '01980000-0000-7000-8000-000000000000', kind: 'charge' },
      { ...READING, unitId, kind: 'charge', pressureBarGauge: 260 },
      { ...READING, unitId, kind: 'charge', gaugeId: '01980000-0000-7000-8000-000000000000' },
      {
        ...READING,
        unitId,
        kind: 'charge',
        ambientBar: 0.98,
        doneAt: '2026-08-10T10:00:00Z',
        gaugeId: overdue,
      },
      { ...READING, unitId: other, kind: 'charge', externalKey: 'B1' },
    ];
    const results = await writeBatch(rows);
    expect(results.map(({ outcome, errors }) => [outcome, ...errors.map(({ pointer }) => pointer)])).toEqual([
      ['created'],
      ['created'],
      ['created'],
      ['rejected', '#/unitKey'],
      ['rejected', '#/pressureBarGauge'],
      ['rejected', '#/gaugeId'],
      ['created'],
      ['rejected', '#/externalKey'],
    ]);
    const good = rows.filter((_, at) => results[at]?.outcome === 'created');
    const stored = async () =>
      (await api.ok<GasUnitEventPageDto>('get', `/v1/gas-units/${unitId}/events`)).items.map(
        ({ recordedAt, ...event }) => ({ ...event, isDated: recordedAt !== '' }),
      );
    const first = await stored();
    expect(first.map(({ outcome, gaugeOverdue, vehicleId: at }) => [outcome, gaugeOverdue, at])).toEqual([
      ['passed', true, vehicleId],
      ['failed', null, vehicleId],
      ['passed', null, vehicleId],
      ['passed', null, vehicleId],
    ]);
    expect((await writeBatch(good)).map(({ outcome }) => outcome)).toEqual(Array(4).fill('unchanged'));
    expect(await stored()).toEqual(first);

    // the same record by its key, read again at another temperature
    const [corrected] = await writeBatch([{ ...good[0]!, gasTemperatureC: 5, note: 'cold' }]);
    expect(corrected).toMatchObject({ outcome: 'updated', subjectId: first[3]?.id });
    const after = (await stored())[3];
    expect(after).toMatchObject({ revision: 2, note: 'cold', gasTemperatureC: 5 });
    // 55 bar at 5 °C: 58.4809 bar by the equation of Span et al. (2000)
    expect(after?.precharge20BarGauge).toBeCloseTo(58.481, 3);

    await api.ok('post', `/v1/gas-unit-events/${first[3]?.id ?? ''}/void`, {
      body: { reason: 'never happened' },
      ifMatch: '"r2"',
    });
    const again = await writeBatch([{ ...good[0]!, gasTemperatureC: 5, note: 'cold' }, good[0]!]);
    expect(again.map(({ outcome, errors }) => [outcome, errors[0]?.pointer])).toEqual([
      ['unchanged', undefined],
      ['rejected', '#/externalKey'],
    ]);
    await recomputeAll();
    expect((await itemsOf(vehicleId)).get(`unit-test@${FRONT_LEFT}`)?.driver).not.toBe('failed-test');
  });

  it('of 1000 rows takes a handful of statements per place, not per row', async () => {
    const units = await Promise.all([vehicle(), vehicle(), vehicle()].map(async (id) => fitted(await id)));
    const rows = Array.from({ length: 1000 }, (_, at): GasUnitEventRow => ({
      ...READING,
      unitId: units[at % 3]!,
      kind: 'precharge-test',
      doneAt: new Date(Date.UTC(2022, 0, 1) + at * 86_400_000).toISOString(),
      pressureBarGauge: 55 - at / 200,
    }));
    const statements = await test.app.get(Transactions).run(worker(), async (tx) => {
      const sent = jest.spyOn(tx.queryRunner!, 'query');
      const results = await test.app.get(GasUnitEventsService).writeBatch(tx, worker(), rows);
      expect(results.every(({ outcome }) => outcome === 'created')).toBe(true);
      return sent.mock.calls.length;
    });
    expect(statements).toBeLessThan(15);
  });
});
