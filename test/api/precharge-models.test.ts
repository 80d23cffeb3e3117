import { learnPrechargeModel } from '../../src/core/precharge/learn-precharge-model';
import { defaultPrechargeModel, type PrechargeRecord } from '../../src/core/precharge/precharge-model';
import { toEpochDay } from '../../src/core/shared/calendar-date';
import { SeededRandom } from '../../src/core/shared/seeded-random';
import type { FleetDueItemDto } from '../../src/modules/due-items/dto/due-item.dto';
import { DueItemsService } from '../../src/modules/due-items/due-items.service';
import {
  GasUnitEventsService,
  type GasUnitEventRow,
} from '../../src/modules/gas-unit-events/gas-unit-events.service';
import type { PrechargeForecastDto } from '../../src/modules/gas-unit-events/dto/precharge-forecast.dto';
import type {
  PrechargeModelDto,
  PrechargeModelPageDto,
  RefittedPrechargeModelsDto,
} from '../../src/modules/precharge-models/dto/precharge-model.dto';
import type { ProgrammeVersionDto } from '../../src/modules/service-programmes/dto/programme-version.dto';
import type { ServiceProgrammeDto } from '../../src/modules/service-programmes/dto/service-programme.dto';
import type { NewOrganisation } from '../../src/platform/database/create-organisation';
import { Transactions } from '../../src/platform/database/transactions';
import { systemPrincipal } from '../../src/platform/security/principal';
import { addKey, apiClient, asOwner, type ApiClient } from '../support/api-client';
import { startTestApp, type TestApp } from '../support/test-app';

let test: TestApp;
let organisation: NewOrganisation;
let api: ApiClient;
let fleetId: string;
let vehicleId: string;
const types: string[] = [];
const units: string[] = [];

const FRONT_LEFT = 'suspension-front-left';
const UNITS = 12;
/** True loss of the units of the first type: a tenth a year, twice what the prior expects. */
const LOG_LOSS_PER_YEAR = 0.1;
const TEST_DAYS = ['2023-02-01', '2023-08-01', '2024-02-01', '2024-08-01', '2025-02-01', '2025-08-01'];

beforeAll(async () => {
  test = await startTestApp();
  organisation = await test.organisation('Tarn Valley Patient Transport');
  api = apiClient(test, organisation.administratorKey);
  const programme = await api.ok<ServiceProgrammeDto>('post', '/v1/service-programmes', {
    body: {
      name: 'Minibuses',
      rules: [{ code: 'recharge', task: 'recharge', scope: 'unit', prechargeLimit: { shareOfNominal: 0.5 } }],
    },
  });
  const version = `/v1/service-programmes/${programme.id}/versions/${programme.latestVersion?.id ?? ''}`;
  const { etag } = await api.call<ProgrammeVersionDto>('get', version);
  await api.ok('post', `${version}/publish`, { ifMatch: etag, body: { effectiveOn: '2026-11-25' } });
  fleetId = await create('/v1/fleets', { name: 'Patient transport', serviceProgrammeId: programme.id });
  const depotId = await create('/v1/depots', { name: 'Upper Tarn', zone: 'Europe/London', fleetId });
  vehicleId = await create('/v1/vehicles', {
    depotId,
    registrationMark: 'TVP 101',
    dutyClass: 'normal',
    odometerUnit: 'km',
    inServiceOn: '2020-03-01',
  });
  for (const code of ['front-55', 'rear-35']) {
    types.push(
      await insert('gas_unit_types', {
        code,
        name: `Suspension ${code}`,
        roles: '{suspension}',
        nominal_precharge20_bar_gauge: 55,
        gas_volume_cm3: 400,
        damper_integral: false,
      }),
    );
  }
  for (let at = 0; at < UNITS; at++) units.push(await unitOf(types[0] ?? '', `N7-${100 + at}`));
  units.push(await unitOf(types[1] ?? '', 'N8-100'));
  await insert('unit_placements', {
    fleet_id: fleetId,
    unit_id: units[0],
    state: 'fitted',
    from_at: '2023-01-10T08:00:00Z',
    vehicle_id: vehicleId,
    position: FRONT_LEFT,
    moved_by: 'R. Hale',
  });
  const results = await test.app
    .get(Transactions)
    .run(worker(), (tx) => test.app.get(GasUnitEventsService).writeBatch(tx, worker(), measured()));
  expect(results.map(({ outcome }) => outcome)).toEqual(Array(results.length).fill('created'));
  await test.app.get(DueItemsService).recomputeInBatches(worker());
});
afterAll(() => test.close());

const worker = () => systemPrincipal(organisation.organisationId, 'importing');

const create = async (path: string, body: object): Promise<string> =>
  (await api.ok<{ id: string }>('post', path, { body })).id;

async function insert(table: string, values: Record<string, unknown>): Promise<string> {
  const row = { organisation_id: organisation.organisationId, ...values };
  const names = Object.keys(row);
  const [inserted] = await asOwner<{ id: string }>(
    test,
    organisation.organisationId,
    `INSERT INTO ${table} (${names.join(', ')}) VALUES (${names.map((_, at) => `$${at + 1}`).join(', ')}) RETURNING id`,
    Object.values(row),
  );
  return inserted?.id ?? '';
}

const unitOf = (typeId: string, serialNumber: string): Promise<string> =>
  insert('gas_units', { fleet_id: fleetId, unit_type_id: typeId, serial_number: serialNumber });

/** Charged to 55 bar, then losing a tenth a year, read with an error of 1 %. */
function measured(): GasUnitEventRow[] {
  const random = new SeededRandom(20_261_125);
  return units.flatMap((unitId) =>
    TEST_DAYS.map((day, at): GasUnitEventRow => {
      const years = (toEpochDay(day) - toEpochDay('2023-02-01')) / 365.25;
      const log = Math.log(56.01325) - LOG_LOSS_PER_YEAR * years + 0.01 * random.normal();
      return {
        unitId,
        kind: at === 0 ? 'charge' : 'precharge-test',
        doneAt: `${day}T10:00:00Z`,
        pressureBarGauge: Math.round(1000 * (Math.exp(log) - 1.01325)) / 1000,
        gasTemperatureC: 20,
        doneBy: 'R. Hale',
      };
    }),
  );
}

const rechargeItem = async (): Promise<FleetDueItemDto | undefined> =>
  (await api.ok<{ items: FleetDueItemDto[] }>('get', `/v1/vehicles/${vehicleId}/due-items`)).items.find(
    ({ key }) => key === `recharge@${FRONT_LEFT}`,
  );

const forecastOf = (at: number): Promise<PrechargeForecastDto> =>
  api.ok<PrechargeForecastDto>('get', `/v1/gas-units/${units[at] ?? ''}/forecast`);

const listed = async (): Promise<PrechargeModelDto[]> =>
  (await api.ok<PrechargeModelPageDto>('get', '/v1/precharge-models')).items;

describe('precharge models', () => {
  it('are the default prior until somebody has them learnt', async () => {
    const models = await listed();
    expect(
      models.map(({ typeCode, origin, learning, fittedAt }) => [typeCode, origin, learning, fittedAt]),
    ).toEqual([
      ['front-55', 'default-prior', null, null],
      ['rear-35', 'default-prior', null, null],
    ]);
    const prior = defaultPrechargeModel();
    expect(models[0]?.parameters.logLossPerYearMean).toBe(prior.logLossPerYear.mean);
    const first = await api.ok<PrechargeModelPageDto>('get', '/v1/precharge-models?limit=1');
    expect(first.items.map(({ typeCode }) => typeCode)).toEqual(['front-55']);
    const rest = await api.ok<PrechargeModelPageDto>(
      'get',
      `/v1/precharge-models?limit=1&cursor=${first.next ?? ''}`,
    );
    expect([rest.items.map(({ typeCode }) => typeCode), rest.next]).toEqual([['rear-35'], null]);
  });

  it('are refused to those who may not, and for a type that nobody knows', async () => {
    const path = '/v1/precharge-models/refit';
    for (const role of ['technician', 'front-desk', 'dealer-system'] as const) {
      const client = apiClient(test, await addKey(test, organisation, role));
      expect(await client.refused('post', path, { body: {} })).toEqual([403]);
      expect(await client.refused('get', '/v1/precharge-models')).toEqual([200]);
    }
    const limited = apiClient(test, await addKey(test, organisation, 'fleet-planner', [fleetId]));
    expect(await limited.refused('post', path, { body: {} })).toEqual([403]);
    const unknown = { unitTypeId: '01980000-0000-7000-8000-000000000000' };
    expect(await api.refused('post', path, { body: unknown })).toEqual([422, '#/unitTypeId']);
    const stranger = apiClient(test, (await test.organisation('Another')).administratorKey);
    expect(await stranger.refused('post', path, { body: { unitTypeId: types[0] } })).toEqual([
      422,
      '#/unitTypeId',
    ]);
    expect(await api.refused('post', path, { body: { unitTypeId: 'front' } })).toEqual([422, '#/unitTypeId']);
    expect((await listed()).every(({ fittedAt }) => fittedAt === null)).toBe(true);
  });

  it('are learnt from all units of a type; forecasts and due items follow', async () => {
    const before = { item: await rechargeItem(), forecast: await forecastOf(0) };
    expect(before.forecast.model.origin).toBe('default-prior');
    const planner = apiClient(test, await addKey(test, organisation, 'fleet-planner'));
    const body = { unitTypeId: types[0] };
    const { models, recomputedVehicles } = await planner.ok<RefittedPrechargeModelsDto>(
      'post',
      '/v1/precharge-models/refit',
      { body },
    );
    expect(recomputedVehicles).toBe(1);
    expect(models.map(({ typeCode, origin }) => [typeCode, origin])).toEqual([['front-55', 'learnt']]);
    const [model] = models;
    expect(model?.learning).toMatchObject({ units: UNITS, observations: 6 * UNITS, leftOut: 0 });
    // the truth, and far from the prior of 4.5 %
    expect(Math.abs((model?.parameters.logLossPerYearMean ?? 0) - LOG_LOSS_PER_YEAR)).toBeLessThan(0.01);

    // what is stored is what the calculation says of the same readings
    const records = measured().reduce((byUnit, { unitId, kind, doneAt, pressureBarGauge }) => {
      const day = toEpochDay(doneAt.slice(0, 10));
      const observation = { id: `${unitId} ${doneAt}`, kind, day, precharge20BarGauge: pressureBarGauge };
      byUnit.set(unitId, [...(byUnit.get(unitId) ?? []), observation]);
      return byUnit;
    }, new Map<string, PrechargeRecord['observations'][number][]>());
    const learnt = learnPrechargeModel(
      units.slice(0, UNITS).map((unitId) => ({ unitId, observations: records.get(unitId) ?? [] })),
      defaultPrechargeModel(),
    );
    expect(model?.parameters.logLossPerYearMean).toBeCloseTo(learnt.model.logLossPerYear.mean, 9);
    expect(model?.parameters.widening).toBeCloseTo(learnt.model.widening, 9);
    expect(model?.learning?.coverage80).toBe(learnt.record.coverage80);

    const after = { item: await rechargeItem(), forecast: await forecastOf(0) };
    expect(after.forecast.model).toMatchObject({ origin: 'learnt', units: UNITS, fittedAt: model?.fittedAt });
    expect(after.forecast.medianOn).not.toBe(before.forecast.medianOn);
    expect(after.item?.dueOn).toBe(after.forecast.medianOn);
    expect(after.item?.dueOn).not.toBe(before.item?.dueOn);
    // the stored items are those of a computation anew
    await test.app.get(DueItemsService).recomputeInBatches(worker());
    expect(await rechargeItem()).toEqual(after.item);

    expect((await listed()).map(({ origin }) => origin)).toEqual(['learnt', 'default-prior']);
    const [audited] = await asOwner<{ before: PrechargeModelDto; after: PrechargeModelDto }>(
      test,
      organisation.organisationId,
      `SELECT before, after FROM audit_entries WHERE action = 'precharge-model-refitted'`,
    );
    expect([audited?.before.origin, audited?.after]).toEqual(['default-prior', model]);
  });

  it('of every type at once: the prior stands where too few units are on record', async () => {
    const { models } = await api.ok<RefittedPrechargeModelsDto>('post', '/v1/precharge-models/refit', {
      body: {},
    });
    expect(models.map(({ typeCode, origin }) => [typeCode, origin])).toEqual([
      ['front-55', 'learnt'],
      ['rear-35', 'default-prior'],
    ]);
    expect(models[1]?.learning).toMatchObject({ units: 0, observations: 6, measuredOn: 'nothing' });
    expect(models[1]?.fittedAt).not.toBeNull();
  });
});
