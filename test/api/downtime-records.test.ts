import type { DowntimePageDto, DowntimeRecordDto } from '../../src/modules/downtime/dto/downtime.dto';
import type { ApiClient } from '../support/api-client';
import { startTestApp, TEST_NOW, type TestApp } from '../support/test-app';
import { WorkshopStays } from '../support/workshop-stays';

// long enough before now
const EPOCH = Date.parse('2026-10-21T00:00:00Z');

let test: TestApp;
let fleet: WorkshopStays;
let admin: ApiClient;

beforeAll(async () => {
  test = await startTestApp();
  fleet = await WorkshopStays.of(test, EPOCH);
  admin = fleet.operator.admin;
});
afterAll(() => test.close());

const page = (query: string, client = admin) =>
  client.ok<DowntimePageDto>('get', `/v1/downtime-records?${query}`);
const recordsOf = async (vehicleId: string) => (await page(`vehicleId=${vehicleId}`)).items;
const totals = (items: DowntimeRecordDto[]) => items.map(({ totalMinutes }) => totalMinutes / 60);

it('split a stay into active and waiting minutes', async () => {
  const vehicleId = await fleet.vehicle();
  // two people together for an hour, one of them alone for another, and a night between
  await fleet.stay(vehicleId, {
    from: 10,
    until: 34,
    worked: [
      [12, 13],
      [12, 13],
      [30, 31],
    ],
  });
  await fleet.stay(vehicleId, { from: 700, until: null, startedAt: 701 });
  const [done, open] = await recordsOf(vehicleId);
  expect(done).toMatchObject({
    vehicleId,
    registrationMark: 'TVP 101',
    fleetId: fleet.fleetId,
    depotId: fleet.depotId,
    workshopId: fleet.workshopId,
    cause: 'failure',
    arrivedAt: fleet.at(10),
    releasedAt: fleet.at(34),
    totalMinutes: 24 * 60,
    activeMinutes: 120,
    waitingMinutes: 22 * 60,
    labourMinutes: 180,
  });
  const sinceEpoch = (TEST_NOW - EPOCH) / 60_000;
  expect(open).toMatchObject({
    releasedAt: null,
    totalMinutes: sinceEpoch - 700 * 60,
    activeMinutes: sinceEpoch - 701 * 60,
    waitingMinutes: 60,
  });
});

it('go on for a vehicle that left on hold, until it comes again and is not turned away', async () => {
  const vehicleId = await fleet.vehicle();
  await fleet.stay(vehicleId, { from: 10, until: null, state: 'collected' });
  expect((await recordsOf(vehicleId))[0]?.releasedAt).toBeNull();
  await fleet.stay(vehicleId, { from: 40, until: null, state: 'cancelled', closedAt: 41 });
  expect((await recordsOf(vehicleId))[0]?.releasedAt).toBeNull();
  await fleet.stay(vehicleId, { from: 50, until: 60 });
  expect(totals(await recordsOf(vehicleId))).toEqual([40, 1, 10]);
});

it('end for a vehicle that was turned away, and are none where it never came', async () => {
  const vehicleId = await fleet.vehicle();
  await fleet.stay(vehicleId, { from: 10, until: null, state: 'cancelled', closedAt: 13 });
  // the clock that wrote down the arrival was ahead of the one that cancelled
  await fleet.stay(vehicleId, { from: 20.01, until: null, state: 'cancelled', closedAt: 20 });
  await fleet.stay(vehicleId, { from: null, until: null, state: 'missed', bookedFor: 30, closedAt: 31 });
  const records = await recordsOf(vehicleId);
  expect(totals(records)).toEqual([3, 0]);
  expect(records[0]).toMatchObject({ releasedAt: fleet.at(13), activeMinutes: 0, waitingMinutes: 180 });
});

it('are found by time, fleet, depot and workshop', async () => {
  const vehicleId = await fleet.vehicle();
  await fleet.stay(vehicleId, { from: 100, until: 110 });
  await fleet.stay(vehicleId, { from: 120, until: 130 });
  await fleet.stay(vehicleId, { from: 140, until: null });
  const found = async (query: string) =>
    (await page(`vehicleId=${vehicleId}&${query}`)).items.map(({ arrivedAt }) => arrivedAt);
  const [first, second, third] = [100, 120, 140].map((hours) => fleet.at(hours));
  expect(await found(`fromAt=${fleet.at(110)}`)).toEqual([second, third]);
  expect(await found(`fromAt=${fleet.at(109)}&untilAt=${fleet.at(120)}`)).toEqual([first]);
  expect(await found(`untilAt=${fleet.at(121)}`)).toEqual([first, second]);
  for (const query of [
    `fleetId=${fleet.fleetId}`,
    `depotId=${fleet.depotId}`,
    `workshopId=${fleet.workshopId}`,
  ])
    expect(await found(query)).toHaveLength(3);
  const elsewhere = await fleet.operator.fleet('spare vehicles');
  expect(await found(`fleetId=${elsewhere}`)).toEqual([]);
  expect(await found(`depotId=${await fleet.operator.depot(elsewhere, 'Mid Tarn')}`)).toEqual([]);
  expect(await found(`workshopId=${elsewhere}`)).toEqual([]);
});

it('come page by page, those of one moment too', async () => {
  const vehicleId = await fleet.vehicle();
  for (const from of [200, 200, 200, 210, 220]) await fleet.stay(vehicleId, { from, until: from + 5 });
  const seen: DowntimeRecordDto[] = [];
  let cursor: string | null = null;
  do {
    const query = `vehicleId=${vehicleId}&limit=2${cursor === null ? '' : `&cursor=${encodeURIComponent(cursor)}`}`;
    const { items, next } = await page(query);
    expect(items.length).toBeLessThanOrEqual(2);
    seen.push(...items);
    cursor = next;
  } while (cursor !== null);
  expect(seen.map(({ bookingId }) => bookingId)).toEqual(
    (await recordsOf(vehicleId)).map(({ bookingId }) => bookingId),
  );
  expect(new Set(seen.map(({ bookingId }) => bookingId)).size).toBe(5);
});

it('are read by everybody of the fleet and by nobody else', async () => {
  const otherFleetId = await fleet.operator.fleet('school transport');
  const vehicleId = await fleet.vehicle(null, await fleet.operator.depot(otherFleetId, 'Lower Tarn'));
  await fleet.stay(vehicleId, { from: 10, until: 12 });
  const colleague = await fleet.operator.colleague('technician', [otherFleetId]);
  expect((await page('', colleague)).items.map((record) => record.vehicleId)).toEqual([vehicleId]);
  const stranger = (await WorkshopStays.of(test, EPOCH)).operator.admin;
  expect((await page('', stranger)).items).toEqual([]);
  expect((await page(`vehicleId=${vehicleId}`, stranger)).items).toEqual([]);
});
