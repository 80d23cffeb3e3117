import type { DowntimePageDto, MaintenanceIndicatorsDto } from '../../src/modules/downtime/dto/downtime.dto';
import type { ApiClient } from '../support/api-client';
import { Operator } from '../support/operator';
import { startTestApp, TEST_NOW, type TestApp } from '../support/test-app';

const HOUR = 3_600_000;
// 720 hours, as in the worked example
const UNTIL = Date.parse('2026-11-20T00:00:00Z');
const FROM = UNTIL - 720 * HOUR;

let test: TestApp;
let operator: Operator;
let admin: ApiClient;
let depotId: string;
let workshopId: string;
let bayId: string;
let technicianId: string;

beforeAll(async () => {
  test = await startTestApp();
  operator = await Operator.of(test, 'Tarn Valley Patient Transport');
  admin = operator.admin;
  depotId = await operator.depot(await operator.fleet('patient transport'), 'Upper Tarn');
  const add = async (path: string, body: object): Promise<string> =>
    (await admin.ok<{ id: string }>('post', path, { body })).id;
  workshopId = await add('/v1/workshops', {
    name: 'Upper Tarn workshop',
    zone: 'Europe/London',
    weeklyHours: [],
  });
  bayId = await add(`/v1/workshops/${workshopId}/bays`, { name: 'Lift', kinds: ['lift'] });
  technicianId = await add(`/v1/workshops/${workshopId}/technicians`, {
    name: 'Alder',
    competences: [],
    shifts: [],
  });
});
afterAll(() => test.close());

let marks = 100;
const vehicle = (inServiceOn: string | null = '2024-01-01') =>
  operator.vehicle(depotId, `TVP ${(marks += 1)}`, { inServiceOn });

interface Stay {
  cause?: 'failure' | 'planned';
  /** hours after the start of the period */
  from: number;
  until: number | null;
  worked?: [from: number, until: number][] | null;
  state?: string;
  startedAt?: number;
}

/** A stay as the bookings leave it, with times that no clock has to run for. */
async function stay(
  vehicleId: string,
  { cause = 'failure', from, until, worked = null, state, startedAt }: Stay,
) {
  const at = (hours: number): string => new Date(FROM + hours * HOUR).toISOString();
  const periods =
    worked?.map(([start, end]) => ({ technicianId, startsAt: at(start), endsAt: at(end) })) ?? null;
  await operator.sql(
    `INSERT INTO bookings (organisation_id, fleet_id, vehicle_id, workshop_id, bay_id, technician_ids, state, starts_at,
        ends_at, bay_from_at, bay_until_at, pieces, work, work_minutes, minutes_before, minutes_after, cause, booked_by,
        arrived_at, work_started_at, work_periods, released_at)
      SELECT $1, fleet_id, id, $3, $4, ARRAY[$5::uuid], $6, $7, $7::timestamptz + interval '1 hour', $7,
          $7::timestamptz + interval '1 hour', '[]', '{"items": [], "extra": []}', 60, 0, 0, $8, 'test', $7, $9, $10, $11
        FROM vehicles WHERE id = $2`,
    [
      operator.organisationId,
      vehicleId,
      workshopId,
      bayId,
      technicianId,
      state ?? (until === null ? 'in-work' : 'collected'),
      at(from),
      cause,
      at(startedAt ?? from),
      periods === null ? null : JSON.stringify(periods),
      until === null ? null : at(until),
    ],
  );
}

const indicators = (query: string, client = admin) =>
  client.ok<MaintenanceIndicatorsDto>(
    'get',
    `/v1/maintenance-indicators?fromAt=${new Date(FROM).toISOString()}&untilAt=${new Date(UNTIL).toISOString()}&${query}`,
  );

// Arithmetic example to the formulas of EN 15341:2007 (formulas from memory): required time 720 h, 4 failures,
// restoration 12 + 6 + 10 + 8 h; then 20 h of planned down time.
const RESTORATION = [12, 6, 10, 8];

describe('indicators', () => {
  it('equal the worked example, without and with planned down time', async () => {
    const vehicleId = await vehicle();
    for (const [index, hours] of RESTORATION.entries())
      await stay(vehicleId, { from: 100 * index + 10, until: 100 * index + 10 + hours });
    const [before] = (await indicators(`vehicleId=${vehicleId}`)).items;
    expect(before).toMatchObject({
      vehicles: 1,
      requiredMinutes: 720 * 60,
      failures: 4,
      failureDowntimeMinutes: 36 * 60,
    });
    expect(before?.operatingMinutes).toBe(684 * 60);
    expect(before?.meanOperatingMinutesBetweenFailures).toBe(171 * 60);
    expect(before?.meanMinutesToRestoration).toBe(9 * 60);
    expect(before?.availabilityInRequiredTimePercent).toBe(95);
    expect(before?.availabilityAgainstFailuresPercent).toBe(95);

    await stay(vehicleId, { cause: 'planned', from: 500, until: 520 });
    const [after] = (await indicators(`vehicleId=${vehicleId}`)).items;
    expect(after?.operatingMinutes).toBe(664 * 60);
    expect(after?.availabilityAgainstMaintenancePercent).toBeCloseTo(92.2222, 4);
    expect(after?.availabilityAgainstFailuresPercent).toBeCloseTo(94.857143, 6);
    expect(after?.availabilityAgainstPlannedMaintenancePercent).toBeCloseTo(97.076023, 6);
    expect(after?.meanOperatingMinutesBetweenFailures).toBe(166 * 60);
  });

  it('have no mean time where nothing failed, and no availability where nothing was required', async () => {
    const vehicleId = await vehicle();
    const [sound] = (await indicators(`vehicleId=${vehicleId}`)).items;
    expect(sound).toMatchObject({
      failures: 0,
      meanOperatingMinutesBetweenFailures: null,
      meanMinutesToRestoration: null,
      availabilityInRequiredTimePercent: 100,
      scheduleKeptPercent: null,
      correctiveLabourPercent: null,
    });
    const standing = await vehicle();
    await admin.ok('post', `/v1/vehicles/${standing}/off-road-periods`, {
      body: { fromOn: '2026-10-01', untilOn: '2026-11-25', reason: 'stood for the season' },
    });
    const [none] = (await indicators(`vehicleId=${standing}`)).items;
    expect(none).toMatchObject({ requiredMinutes: 0, availabilityInRequiredTimePercent: null });
  });

  it('count required time from the in-service day, a vehicle that is still down until the end of the period', async () => {
    const late = await vehicle('2026-11-10');
    const [ten] = (await indicators(`vehicleId=${late}`)).items;
    expect(ten?.requiredMinutes).toBe(10 * 24 * 60);
    await stay(late, { from: 700, until: null, worked: null });
    const [open] = (await indicators(`vehicleId=${late}`)).items;
    expect(open).toMatchObject({ failures: 1, failureDowntimeMinutes: 20 * 60 });
  });

  it('are told by fleet, depot, vehicle and workshop, with labour and kept schedule', async () => {
    const one = await vehicle();
    await stay(one, { cause: 'planned', from: 48, until: 72, worked: [[49, 52]] });
    await stay(one, { cause: 'failure', from: 96, until: 120, worked: [[97, 98]], startedAt: 120 });
    const [mine] = (await indicators(`vehicleId=${one}`)).items;
    // three hours of planned work, one of repair; the second began a day late
    expect(mine).toMatchObject({
      preventiveLabourPercent: 75,
      correctiveLabourPercent: 25,
      scheduleKeptPercent: 50,
    });
    for (const groupBy of ['fleet', 'depot', 'vehicle']) {
      const { items } = await indicators(`groupBy=${groupBy}`);
      expect(items.reduce((sum, { failures }) => sum + failures, 0)).toBe(6);
      expect(items.every(({ requiredMinutes }) => requiredMinutes !== null)).toBe(true);
    }
    const [workshop] = (await indicators('groupBy=workshop')).items;
    expect(workshop).toMatchObject({
      id: workshopId,
      name: 'Upper Tarn workshop',
      failures: 6,
      requiredMinutes: null,
      availabilityInRequiredTimePercent: null,
    });
    expect(workshop?.meanMinutesToRestoration).toBeCloseTo(((36 + 20 + 24) * 60) / 6, 9);
  });

  it('ask for a period that has passed', async () => {
    const ask = (query: string) => admin.refused('get', `/v1/maintenance-indicators?${query}`);
    expect(await ask('untilAt=2027-01-01T00:00:00Z')).toEqual([422, 'untilAt']);
    expect(await ask('fromAt=2026-11-01T00:00:00Z&untilAt=2026-10-01T00:00:00Z')).toEqual([422, 'fromAt']);
    expect(await ask('fromAt=2024-11-01T00:00:00Z&untilAt=2026-10-01T00:00:00Z')).toEqual([422, 'fromAt']);
    expect(await ask('groupBy=moon')).toEqual([422, 'groupBy']);
  });
});

describe('down time records', () => {
  it('split a stay into active and waiting minutes', async () => {
    const vehicleId = await vehicle();
    // two people together for an hour, one of them alone for another, and a night between
    await stay(vehicleId, {
      from: 10,
      until: 34,
      worked: [
        [12, 13],
        [12, 13],
        [30, 31],
      ],
    });
    await stay(vehicleId, { from: 700, until: null, startedAt: 701 });
    const { items } = await admin.ok<DowntimePageDto>('get', `/v1/downtime-records?vehicleId=${vehicleId}`);
    expect(items[0]).toMatchObject({
      cause: 'failure',
      totalMinutes: 24 * 60,
      activeMinutes: 120,
      waitingMinutes: 22 * 60,
      labourMinutes: 180,
    });
    const open = (TEST_NOW - FROM) / 60_000;
    expect(items[1]).toMatchObject({
      releasedAt: null,
      totalMinutes: open - 700 * 60,
      activeMinutes: open - 701 * 60,
      waitingMinutes: 60,
    });
  });

  it('go on for a vehicle that left on hold, until it arrives again', async () => {
    const vehicleId = await vehicle();
    await stay(vehicleId, { from: 10, until: null, state: 'collected' });
    const read = async () =>
      (await admin.ok<DowntimePageDto>('get', `/v1/downtime-records?vehicleId=${vehicleId}`)).items;
    expect((await read())[0]?.releasedAt).toBeNull();
    await stay(vehicleId, { from: 50, until: 60 });
    expect((await read()).map(({ totalMinutes }) => totalMinutes)).toEqual([40 * 60, 10 * 60]);
  });
});
