import type { DepotAvailabilityByDayDto } from '../../src/modules/depot-availability/dto/depot-days.dto';
import type { ApiClient } from '../support/api-client';
import { Operator } from '../support/operator';
import { startTestApp, type TestApp } from '../support/test-app';

let test: TestApp;
let operator: Operator;
let admin: ApiClient;
let fleetId: string;
let depotId: string;
let vehicleIds: string[];

beforeAll(async () => {
  test = await startTestApp();
  operator = await Operator.of(test, 'Tarn Valley Patient Transport');
  admin = operator.admin;
  fleetId = await operator.fleet('patient transport');
  depotId = await operator.depot(fleetId, 'Upper Tarn');
  await operator.depot(fleetId, 'Lower Tarn');
  vehicleIds = [];
  for (const mark of ['TVP 1', 'TVP 2', 'TVP 3']) vehicleIds.push(await operator.vehicle(depotId, mark));
  await admin.ok('put', `/v1/depots/${depotId}/roster`, {
    ifMatch: '"r0"',
    body: {
      neededByWeekday: {
        monday: 3,
        tuesday: 2,
        wednesday: 2,
        thursday: 2,
        friday: 2,
        saturday: 0,
        sunday: 0,
      },
      exceptions: [{ fromOn: '2026-12-02', untilOn: '2026-12-03', needed: 1, reason: 'training day' }],
    },
  });
});
afterAll(() => test.close());

const read = (query: string): Promise<DepotAvailabilityByDayDto> =>
  admin.ok<DepotAvailabilityByDayDto>('get', `/v1/depot-availability?${query}`);

it('counts vehicles day by day against the roster, without those off the road', async () => {
  await admin.ok('post', `/v1/vehicles/${vehicleIds[0] ?? ''}/off-road-periods`, {
    body: { fromOn: '2026-12-01', untilOn: '2026-12-03', reason: 'waiting for a body part' },
  });
  const { fromOn, untilOn, depots } = await read(`depotId=${depotId}&from=2026-11-30&days=4`);
  expect({ fromOn, untilOn }).toEqual({ fromOn: '2026-11-30', untilOn: '2026-12-04' });
  const [depot] = depots;
  expect(depot).toMatchObject({ depotId, name: 'Upper Tarn', isDefaultRoster: false });
  expect(
    depot?.days.map(({ on, vehicles, neededOnRoad, offRoad, onRoad }) => [
      on,
      vehicles,
      neededOnRoad,
      offRoad,
      onRoad,
    ]),
  ).toEqual([
    ['2026-11-30', 3, 3, 0, 3],
    ['2026-12-01', 3, 2, 1, 2],
    ['2026-12-02', 3, 1, 1, 2],
    ['2026-12-03', 3, 2, 0, 3],
  ]);
  expect(depot?.away).toEqual([
    expect.objectContaining({ vehicleId: vehicleIds[0], cause: 'off-road-period', untilOn: '2026-12-03' }),
  ]);
});

it('counts a vehicle that is booked and off the road once, on the days of the workshop', async () => {
  const workshop = await admin.ok<{ id: string }>('post', '/v1/workshops', {
    body: {
      name: 'Upper Tarn workshop',
      zone: 'Europe/London',
      weeklyHours: [1, 2, 3, 4, 5].map((weekday) => ({
        weekday,
        windows: [{ from: '08:00', until: '17:00' }],
      })),
      vehicleStay: 'overnight',
      minutesBefore: 0,
      minutesAfter: 0,
    },
  });
  const bay = await admin.ok<{ id: string }>('post', `/v1/workshops/${workshop.id}/bays`, {
    body: { name: 'Lift', kinds: ['lift'] },
  });
  const technician = await admin.ok<{ id: string }>('post', `/v1/workshops/${workshop.id}/technicians`, {
    body: {
      name: 'First hand',
      competences: [{ code: 'hydraulics' }],
      shifts: [1, 2, 3, 4, 5].map((weekday) => ({ weekday, windows: [{ from: '08:00', until: '17:00' }] })),
    },
  });
  for (const vehicleId of vehicleIds.slice(0, 2))
    await admin.ok('post', '/v1/bookings', {
      body: {
        vehicleId,
        workshopId: workshop.id,
        bayId: bay.id,
        technicianIds: [technician.id],
        startsAt: vehicleId === vehicleIds[0] ? '2026-12-02T08:00:00Z' : '2026-12-02T13:00:00Z',
        extraWork: [{ title: 'Look at the door', minutes: 60, competences: [], bayKind: 'lift' }],
      },
    });
  const { depots } = await read(`depotId=${depotId}&from=2026-12-01&days=3`);
  expect(depots[0]?.days.map(({ booked, offRoad, onRoad }) => [booked, offRoad, onRoad])).toEqual([
    [0, 1, 2],
    [2, 0, 1],
    [0, 0, 3],
  ]);
});

it('tells every depot of a fleet in order of name, and none of a fleet out of sight', async () => {
  const { depots } = await read(`fleetId=${fleetId}`);
  expect(depots.map(({ name, isDefaultRoster, days }) => [name, isDefaultRoster, days.length])).toEqual([
    ['Lower Tarn', true, 28],
    ['Upper Tarn', false, 28],
  ]);
  const other = await Operator.of(test, 'Another operator');
  expect(
    (await other.admin.ok<DepotAvailabilityByDayDto>('get', `/v1/depot-availability?fleetId=${fleetId}`))
      .depots,
  ).toEqual([]);
});
