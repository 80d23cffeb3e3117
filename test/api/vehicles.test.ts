import type { DepotDto } from '../../src/modules/depots/dto/depot.dto';
import type { VehicleDueItemsDto } from '../../src/modules/due-items/dto/due-item.dto';
import type { FleetDto } from '../../src/modules/fleets/dto/fleet.dto';
import type { VehicleDto, VehiclePageDto } from '../../src/modules/vehicles/dto/vehicle.dto';
import { Operator } from '../support/operator';
import { startTestApp, type TestApp } from '../support/test-app';

let served: TestApp;
let operator: Operator;
let fleetId: string;
let depotId: string;

beforeAll(async () => {
  served = await startTestApp();
  operator = await Operator.of(served, 'Tarn Valley Patient Transport');
  await operator.follows([
    { code: 'yearly', task: 'inspection', everyMonths: 12, safetyCritical: true },
    { code: 'rough', task: 'underbody-wash', everyDays: 30, appliesTo: { dutyClasses: ['rough-road'] } },
  ]);
  fleetId = await operator.fleet('Patient transport');
  depotId = await operator.depot(fleetId, 'Tarnholme');
});
afterAll(() => served.close());

const due = (vehicleId: string): Promise<VehicleDueItemsDto> =>
  operator.admin.ok<VehicleDueItemsDto>('get', `/v1/vehicles/${vehicleId}/due-items`);

describe('vehicles', () => {
  it('keep what the operator says and owe what follows from it', async () => {
    const vehicle = await operator.admin.ok<VehicleDto>('post', '/v1/vehicles', {
      body: {
        depotId,
        externalKey: 'TV-1',
        registrationMark: ' tvp  101 ',
        vin: 'zz9aa1bb3lc000001',
        dutyClass: 'standard',
        inServiceOn: '2024-02-29',
        odometerUnit: 'mi',
      },
    });
    expect(vehicle).toMatchObject({
      registrationMark: 'TVP 101',
      vin: 'ZZ9AA1BB3LC000001',
      fleetId,
      warnings: [],
      revision: 1,
    });
    // a leap day's anniversary is the last day of February
    expect((await due(vehicle.id)).items).toMatchObject([
      { key: 'yearly', dueOn: '2025-02-28', state: 'overdue', driver: 'time' },
    ]);
  });

  it('are warned about, not refused, when the check digit of the VIN does not match', async () => {
    const id = await operator.vehicle(depotId, 'TVP 102', { vin: 'ZZ9AA1BB4LC000001' });
    const { warnings } = await operator.admin.ok<VehicleDto>('get', `/v1/vehicles/${id}`);
    expect(warnings).toEqual([expect.stringContaining('the check digit would be "3"')]);
  });

  it.each([
    ['a VIN with a letter that none has', { vin: 'ZZ9AA1BB3LC00000O' }, '#/vin'],
    ['a day that does not exist', { inServiceOn: '2025-02-29' }, '#/inServiceOn'],
    ['a depot of nobody', { depotId: '019ac1f2-7a30-7b61-a0c3-5f1d0e6f2b11' }, '#/depotId'],
    ['a negative odometer', { inServiceOdometerKm: -1 }, '#/inServiceOdometerKm'],
    ['a unit that no odometer has', { odometerUnit: 'furlong' }, '#/odometerUnit'],
    ['a duty class in capitals', { dutyClass: 'Standard' }, '#/dutyClass'],
    ['a field that is none', { colour: 'white' }, '#/colour'],
  ])('refuse %s', async (_, wrong, pointer) => {
    const body = {
      depotId,
      registrationMark: 'TVP 199',
      dutyClass: 'standard',
      odometerUnit: 'km',
      ...wrong,
    };
    expect(await operator.admin.refused('post', '/v1/vehicles', { body })).toEqual([422, pointer]);
  });

  it('have one external key each', async () => {
    const body = {
      depotId,
      externalKey: 'TV-1',
      registrationMark: 'TVP 198',
      dutyClass: 'standard',
      odometerUnit: 'km',
    };
    expect(await operator.admin.refused('post', '/v1/vehicles', { body })).toEqual([409, '#/externalKey']);
  });

  it('owe something else when their class changes, and nothing when they have left', async () => {
    const id = await operator.vehicle(depotId, 'TVP 103', { inServiceOn: '2026-06-01' });
    expect((await due(id)).items.map(({ key }) => key)).toEqual(['yearly']);
    await operator.admin.ok('patch', `/v1/vehicles/${id}`, {
      body: { dutyClass: 'rough-road' },
      ifMatch: '"r1"',
    });
    expect((await due(id)).items.map(({ key, dueOn }) => [key, dueOn])).toEqual([
      ['rough', '2026-07-01'],
      ['yearly', '2027-06-01'],
    ]);
    expect(
      await operator.admin.refused('patch', `/v1/vehicles/${id}`, { body: {}, ifMatch: '"r1"' }),
    ).toEqual([412]);
    await operator.admin.ok('patch', `/v1/vehicles/${id}`, {
      body: { retiredOn: '2026-11-01' },
      ifMatch: '"r2"',
    });
    expect((await due(id)).items).toEqual([]);
  });

  it('are found by part of the mark, the fleet number or the VIN', async () => {
    await operator.vehicle(depotId, 'TVP 777', { fleetNumber: 'A 12' });
    const marks = async (search: string): Promise<string[]> => {
      const page = await operator.admin.ok<VehiclePageDto>(
        'get',
        `/v1/vehicles?search=${encodeURIComponent(search)}`,
      );
      return page.items.map(({ registrationMark }) => registrationMark);
    };
    expect(await marks('p77')).toEqual(['TVP 777']);
    expect(await marks('a12')).toEqual(['TVP 777']);
    expect(await marks('3lc0000')).toEqual(['TVP 101']);
    expect(await marks('%')).toEqual([]);
  });

  it('are read many at once by their ids, those that have left the fleet too', async () => {
    const staying = await operator.vehicle(depotId, 'TVP 778');
    const left = await operator.vehicle(depotId, 'TVP 779');
    await operator.admin.ok('patch', `/v1/vehicles/${left}`, {
      body: { retiredOn: '2026-11-01' },
      ifMatch: '"r1"',
    });
    const found = async (query: string): Promise<string[]> =>
      (await operator.admin.ok<VehiclePageDto>('get', `/v1/vehicles?${query}`)).items.map(({ id }) => id);
    expect(await found(`vehicleIds=${left},${staying}`)).toEqual([staying]);
    expect(await found(`vehicleIds=${left}&vehicleIds=${staying}&includeRetired=true`)).toEqual([
      staying,
      left,
    ]);
    expect(await operator.admin.refused('get', `/v1/vehicles?vehicleIds=${staying},nonsense`)).toEqual([
      422,
      'vehicleIds',
    ]);
  });

  it('stay in their fleet', async () => {
    const elsewhere = await operator.depot(await operator.fleet('Hearses'), 'Skelmire Bridge');
    const id = await operator.vehicle(depotId, 'TVP 104');
    expect(
      await operator.admin.refused('patch', `/v1/vehicles/${id}`, {
        body: { depotId: elsewhere },
        ifMatch: '"r1"',
      }),
    ).toEqual([422, '#/depotId']);
  });
});

describe('depots and fleets', () => {
  it('a depot in another zone has another today', async () => {
    // 13:00 in London is the next day in Auckland
    served.setNow(Date.parse('2026-11-25T13:00:00Z'));
    const id = await operator.depot(fleetId, 'Far away');
    const vehicleId = await operator.vehicle(id, 'TVP 105', { inServiceOn: '2025-11-26' });
    expect((await due(vehicleId)).items).toMatchObject([{ dueOn: '2026-11-26', state: 'not-due' }]);
    const depot = await operator.admin.ok<DepotDto>('patch', `/v1/depots/${id}`, {
      body: { zone: 'Pacific/Auckland' },
      ifMatch: '"r1"',
    });
    expect(depot).toMatchObject({ zone: 'Pacific/Auckland', revision: 2 });
    expect(await due(vehicleId)).toMatchObject({ todayOn: '2026-11-26', items: [{ state: 'due' }] });
  });

  it('a fleet may follow a programme of its own', async () => {
    const own = await operator.admin.ok<FleetDto>('post', '/v1/fleets', {
      body: { name: 'Camera cars', externalKey: 'CC' },
    });
    expect(own.serviceProgrammeId).toBeNull();
    const refusal = { body: { serviceProgrammeId: own.id }, ifMatch: '"r1"' };
    expect(await operator.admin.refused('patch', `/v1/fleets/${own.id}`, refusal)).toEqual([
      422,
      '#/serviceProgrammeId',
    ]);
    expect(
      await operator.admin.refused('post', '/v1/depots', {
        body: { fleetId: own.id, name: 'X', zone: '+01:00' },
      }),
    ).toEqual([422, '#/zone']);
  });
});
