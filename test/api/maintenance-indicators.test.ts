import type { MaintenanceIndicatorsDto } from '../../src/modules/downtime/dto/downtime.dto';
import type { ApiClient } from '../support/api-client';
import { startTestApp, type TestApp } from '../support/test-app';
import { WorkshopStays } from '../support/workshop-stays';

const HOUR = 3_600_000;
// 720 hours, as in the worked example
const UNTIL = Date.parse('2026-11-20T00:00:00Z');
const FROM = UNTIL - 720 * HOUR;

let test: TestApp;
let fleet: WorkshopStays;
let admin: ApiClient;

beforeAll(async () => {
  test = await startTestApp();
  fleet = await WorkshopStays.of(test, FROM);
  admin = fleet.operator.admin;
});
afterAll(() => test.close());

const indicators = (query: string, client = admin) =>
  client.ok<MaintenanceIndicatorsDto>(
    'get',
    `/v1/maintenance-indicators?fromAt=${fleet.at(0)}&untilAt=${fleet.at(720)}&${query}`,
  );
const of = async (vehicleId: string) => (await indicators(`vehicleId=${vehicleId}`)).items[0]!;

// Arithmetic example to the formulas of EN 15341:2007 (formulas from memory): required time 720 h, 4 failures,
// restoration 12 + 6 + 10 + 8 h; then 20 h of planned down time.
const RESTORATION = [12, 6, 10, 8];

it('equal the worked example, without and with planned down time', async () => {
  const vehicleId = await fleet.vehicle();
  for (const [index, hours] of RESTORATION.entries())
    await fleet.stay(vehicleId, { from: 100 * index + 10, until: 100 * index + 10 + hours });
  const before = await of(vehicleId);
  expect(before).toMatchObject({
    vehicles: 1,
    requiredMinutes: 720 * 60,
    failures: 4,
    failureDowntimeMinutes: 36 * 60,
  });
  expect(before.operatingMinutes).toBe(684 * 60);
  expect(before.meanOperatingMinutesBetweenFailures).toBe(171 * 60);
  expect(before.meanMinutesToRestoration).toBe(9 * 60);
  expect(before.availabilityInRequiredTimePercent).toBe(95);
  expect(before.availabilityAgainstFailuresPercent).toBe(95);

  await fleet.stay(vehicleId, { cause: 'planned', from: 500, until: 520 });
  const after = await of(vehicleId);
  expect(after.operatingMinutes).toBe(664 * 60);
  expect(after.availabilityAgainstMaintenancePercent).toBeCloseTo(92.2222, 4);
  expect(after.availabilityAgainstFailuresPercent).toBeCloseTo(94.857143, 6);
  expect(after.availabilityAgainstPlannedMaintenancePercent).toBeCloseTo(97.076023, 6);
  expect(after.meanOperatingMinutesBetweenFailures).toBe(166 * 60);
});

it('have no mean time where nothing failed, and no availability where nothing was required', async () => {
  expect(await of(await fleet.vehicle())).toMatchObject({
    failures: 0,
    meanOperatingMinutesBetweenFailures: null,
    meanMinutesToRestoration: null,
    availabilityInRequiredTimePercent: 100,
    scheduleKeptPercent: null,
    correctiveLabourPercent: null,
    preventiveLabourPercent: null,
  });
  const standing = await fleet.vehicle();
  await admin.ok('post', `/v1/vehicles/${standing}/off-road-periods`, {
    body: { fromOn: '2026-10-01', untilOn: '2026-11-25', reason: 'stood for the season' },
  });
  expect(await of(standing)).toMatchObject({ requiredMinutes: 0, availabilityInRequiredTimePercent: null });
});

it('require no vehicle before it came, after it left or on its off-road days', async () => {
  // ten days; of these two off the road, with a day of down time in them that does not count
  const vehicleId = await fleet.vehicle('2026-11-10');
  await admin.ok('post', `/v1/vehicles/${vehicleId}/off-road-periods`, {
    body: { fromOn: '2026-11-12', untilOn: '2026-11-14', reason: 'stood for the season' },
  });
  await fleet.stay(vehicleId, { cause: 'planned', from: 23 * 24, until: 25 * 24 });
  expect(await of(vehicleId)).toMatchObject({
    requiredMinutes: 8 * 24 * 60,
    plannedDowntimeMinutes: 24 * 60,
    operatingMinutes: 7 * 24 * 60,
  });
  await fleet.operator.sql(`UPDATE vehicles SET retired_on = '2026-11-17' WHERE id = $1`, [vehicleId]);
  expect(await of(vehicleId)).toMatchObject({ requiredMinutes: 5 * 24 * 60 });
  const tooLate = await fleet.vehicle('2026-11-20');
  expect(await of(tooLate)).toMatchObject({ vehicles: 0, requiredMinutes: 0, failures: 0 });
});

it('cut down time at the ends of the period; a failure counts where it began', async () => {
  const vehicleId = await fleet.vehicle();
  await fleet.stay(vehicleId, { from: -5, until: 3 });
  await fleet.stay(vehicleId, { from: 700, until: null });
  // turned away at once: no time at all
  await fleet.stay(vehicleId, { from: 400, until: null, state: 'cancelled', closedAt: 400 });
  expect(await of(vehicleId)).toMatchObject({ failures: 1, failureDowntimeMinutes: 23 * 60 });
});

it('count time that is down twice once, and what fails again while it is down as one failure', async () => {
  const overlapping = await fleet.vehicle();
  await fleet.stay(overlapping, { cause: 'planned', from: 100, until: 120 });
  await fleet.stay(overlapping, { cause: 'failure', from: 110, until: 130 });
  expect(await of(overlapping)).toMatchObject({
    failures: 1,
    failureDowntimeMinutes: 20 * 60,
    plannedDowntimeMinutes: 10 * 60,
  });
  // it left on hold, was turned away once, and was repaired when it came again
  const held = await fleet.vehicle();
  await fleet.stay(held, { from: 100, until: null, state: 'collected' });
  await fleet.stay(held, { from: 140, until: null, state: 'cancelled', closedAt: 141 });
  await fleet.stay(held, { from: 150, until: 160 });
  expect(await of(held)).toMatchObject({ failures: 1, failureDowntimeMinutes: 60 * 60 });
});

it('tell labour and the kept schedule from firm bookings', async () => {
  const vehicleId = await fleet.vehicle();
  await fleet.stay(vehicleId, { cause: 'planned', from: 48, until: 72, worked: [[49, 52]] });
  // began a day late
  await fleet.stay(vehicleId, { from: 96, until: 120, worked: [[97, 98]], startedAt: 120 });
  const firm = { cause: 'planned', from: null, until: null } as const;
  await fleet.stay(vehicleId, { ...firm, state: 'missed', bookedFor: 200, closedAt: 201 });
  // held for a caller first, then firm, then cancelled
  const cancelled = { ...firm, state: 'cancelled', bookedFor: 300, provisionalUntil: 150 };
  await fleet.stay(vehicleId, { ...cancelled, closedAt: 250 });
  expect(await of(vehicleId)).toMatchObject({
    preventiveLabourPercent: 75,
    correctiveLabourPercent: 25,
    scheduleKeptPercent: 25,
  });
  // never firm: given up by the caller, run out, still held; and one of the day after the period
  await fleet.stay(vehicleId, { ...cancelled, closedAt: 149 });
  await fleet.stay(vehicleId, { ...cancelled, state: 'lapsed', closedAt: 150 });
  await fleet.stay(vehicleId, { ...cancelled, state: 'provisional' });
  await fleet.stay(vehicleId, { ...firm, state: 'missed', bookedFor: 720, closedAt: 721 });
  expect(await of(vehicleId)).toMatchObject({ scheduleKeptPercent: 25 });
});

it('keep the schedule by the days of the workshop', async () => {
  // half an hour before and after midnight in London, in summer: two days there, one in UTC
  const vehicleId = await fleet.vehicle();
  const hours = (text: string) => (Date.parse(text) - FROM) / HOUR;
  const bookedFor = hours('2026-10-24T22:30:00Z');
  await fleet.stay(vehicleId, { from: bookedFor, until: bookedFor + 5, startedAt: bookedFor + 1 });
  expect(await of(vehicleId)).toMatchObject({ scheduleKeptPercent: 0 });
  // half an hour after midnight and an hour later: one day there, two in UTC
  await fleet.stay(vehicleId, { from: bookedFor + 1, until: bookedFor + 5, startedAt: bookedFor + 2 });
  expect(await of(vehicleId)).toMatchObject({ scheduleKeptPercent: 50 });
});

it('are the sums of their groups, and of a workshop what it repaired', async () => {
  const otherFleetId = await fleet.operator.fleet('school transport');
  const otherDepotId = await fleet.operator.depot(otherFleetId, 'Lower Tarn');
  const vehicleId = await fleet.vehicle('2024-01-01', otherDepotId);
  await fleet.stay(vehicleId, { from: 300, until: 310 });

  const [all] = (await indicators('groupBy=none')).items;
  const total = (items: MaintenanceIndicatorsDto['items'], of: 'vehicles' | 'requiredMinutes' | 'failures') =>
    items.reduce((sum, item) => sum + item[of]!, 0);
  for (const groupBy of ['fleet', 'depot', 'vehicle']) {
    const { items } = await indicators(`groupBy=${groupBy}`);
    expect(items.map(({ name }) => name)).toEqual(items.map(({ name }) => name!).sort());
    for (const figure of ['vehicles', 'requiredMinutes', 'failures'] as const)
      expect(total(items, figure)).toBe(all![figure]);
  }
  const { items: fleets } = await indicators('groupBy=fleet');
  expect(fleets.find(({ id }) => id === otherFleetId)).toMatchObject({
    name: 'school transport',
    vehicles: 1,
    failures: 1,
    meanMinutesToRestoration: 600,
  });
  expect((await indicators(`depotId=${otherDepotId}`)).items[0]).toMatchObject({ vehicles: 1, failures: 1 });

  const [workshop] = (await indicators(`groupBy=workshop&fleetId=${otherFleetId}`)).items;
  expect(workshop).toMatchObject({
    id: fleet.workshopId,
    name: 'Upper Tarn workshop',
    vehicles: 1,
    failures: 1,
    failureDowntimeMinutes: 600,
    meanMinutesToRestoration: 600,
    scheduleKeptPercent: 100,
    requiredMinutes: null,
    operatingMinutes: null,
    meanOperatingMinutesBetweenFailures: null,
    availabilityInRequiredTimePercent: null,
  });

  // somebody of one fleet is told of that fleet only, somebody else of nothing
  const colleague = await fleet.operator.colleague('technician', [otherFleetId]);
  expect((await indicators('groupBy=vehicle', colleague)).items.map(({ id }) => id)).toEqual([vehicleId]);
  const stranger = (await WorkshopStays.of(test, FROM)).operator.admin;
  expect((await indicators('groupBy=workshop', stranger)).items).toEqual([]);
  expect((await indicators(`vehicleId=${vehicleId}`, stranger)).items[0]).toMatchObject({
    vehicles: 0,
    failures: 0,
  });
});

it('are of the last 90 days unless asked otherwise, and of periods that have passed', async () => {
  const { fromAt, untilAt } = await admin.ok<MaintenanceIndicatorsDto>('get', '/v1/maintenance-indicators');
  expect((Date.parse(untilAt) - Date.parse(fromAt)) / HOUR).toBe(90 * 24);
  const ask = (query: string) => admin.refused('get', `/v1/maintenance-indicators?${query}`);
  expect(await ask('untilAt=2027-01-01T00:00:00Z')).toEqual([422, 'untilAt']);
  expect(await ask('fromAt=2026-11-01T00:00:00Z&untilAt=2026-10-01T00:00:00Z')).toEqual([422, 'fromAt']);
  expect(await ask('fromAt=2025-10-16T00:00:00Z&untilAt=2026-11-20T00:00:01Z')).toEqual([422, 'fromAt']);
  expect(await ask('groupBy=moon')).toEqual([422, 'groupBy']);
  await admin.ok(
    'get',
    '/v1/maintenance-indicators?fromAt=2025-10-16T00:00:00Z&untilAt=2026-11-20T00:00:00Z',
  );
});
