import type { RuleOptions } from '../../src/core/due/rule';
import { StateAnnouncerService } from '../../src/modules/due-items/state-announcer.service';
import type { VehicleHoldDto } from '../../src/modules/holds/dto/vehicle-hold.dto';
import { AuditTrail } from '../../src/platform/audit/audit-trail';
import { Tenants } from '../../src/platform/database/tenants';
import { Jobs } from '../../src/platform/jobs/jobs';
import { startWork } from '../../src/work';
import { cloudEventFaults } from '../support/cloud-event-check';
import { FeedReader } from '../support/feed-reader';
import { Operator } from '../support/operator';
import { startTestApp, TEST_NOW, type TestApp } from '../support/test-app';

const RESERVE: RuleOptions = {
  code: 'brake-reserve-check',
  task: 'brake-reserve-check',
  title: 'Check the brake reserve',
  source: 'made for the test',
  everyMonths: 12,
  tolerance: { earlyDays: 30, lateDays: 10 },
  safetyCritical: true,
};
const FILTER: RuleOptions = {
  code: 'filter-clean',
  task: 'filter-clean',
  title: 'Clean the filter',
  source: 'made for the test',
  everyMonths: 24,
};
const NOON = 'T12:00:00Z';

let test: TestApp;
let marks = 0;
beforeAll(async () => {
  test = await startTestApp({ requestsPerMinute: 10_000_000 });
});
afterAll(() => test.close());
beforeEach(() => test.setNow(TEST_NOW));
afterEach(() => jest.restoreAllMocks());

async function newOperator(name: string): Promise<{ operator: Operator; depotId: string }> {
  const operator = await Operator.of(test, name);
  await operator.follows([RESERVE, FILTER]);
  return { operator, depotId: await operator.depot(await operator.fleet('Patient transport'), 'Upper Tarn') };
}

/** The reserve check is due a year after that day and late ten days later, the filter after two years. */
const vehicleSince = (operator: Operator, depotId: string, inServiceOn: string): Promise<string> =>
  operator.vehicle(depotId, `TVP ${(marks += 1)}`, { inServiceOn });

/** What has been told since, of which vehicle; the tables are looked at, so that nothing has to be waited for. */
async function told(operator: Operator): Promise<[string, string][]> {
  const rows = await operator.sql<{ type: string; task: string | null; vehicleId: string }>(
    `SELECT type, data->>'task' AS task, vehicle_id AS "vehicleId" FROM events
      WHERE organisation_id = $1 AND (type LIKE 'due-item.%' OR type LIKE 'vehicle.hold-%') ORDER BY xid, sequence`,
    [operator.organisationId],
  );
  return rows.map(({ type, task, vehicleId }) => [task === null ? type : `${type} ${task}`, vehicleId]);
}

const announce = (operator: Operator, app = test): Promise<number> =>
  app.app.get(StateAnnouncerService).run(operator.organisationId);

async function announceOn(operator: Operator, instant: string): Promise<string[]> {
  const before = (await told(operator)).length;
  test.setNow(Date.parse(instant));
  const count = await announce(operator);
  const news = (await told(operator)).slice(before);
  expect(news).toHaveLength(count);
  expect(await announce(operator)).toBe(0);
  return news.map(([type]) => type);
}

it('each state of an item is told once, on its day, and again in the next interval', async () => {
  const { operator, depotId } = await newOperator('An operator through the year');
  const vehicleId = await vehicleSince(operator, depotId, '2026-01-10');
  const on = (day: string): Promise<string[]> => announceOn(operator, day + NOON);
  expect(await on('2027-01-09')).toEqual([]);
  expect(await on('2027-01-10')).toEqual(['due-item.became-due brake-reserve-check']);
  expect(await on('2027-01-20')).toEqual([]);
  expect(await on('2027-01-21')).toEqual([
    'due-item.became-overdue brake-reserve-check',
    'vehicle.hold-began',
  ]);
  await operator.admin.ok('post', `/v1/vehicles/${vehicleId}/task-completions`, {
    body: { task: 'brake-reserve-check', doneOn: '2027-01-21' },
  });
  expect(await on('2027-01-22')).toEqual(['vehicle.hold-ended']);
  expect(await on('2028-01-10')).toEqual(['due-item.became-due filter-clean']);
  expect(await on('2028-01-11')).toEqual(['due-item.became-overdue filter-clean']);
  expect(await on('2028-01-21')).toEqual(['due-item.became-due brake-reserve-check']);
});

it('the day is that of the depot', async () => {
  const { operator } = await newOperator('An operator around the world');
  const fleetId = await operator.fleet('Abroad');
  const east = await vehicleSince(
    operator,
    await operator.depot(fleetId, 'East', 'Pacific/Auckland'),
    '2026-01-10',
  );
  const west = await vehicleSince(
    operator,
    await operator.depot(fleetId, 'West', 'America/Los_Angeles'),
    '2026-01-10',
  );
  // midnight in Auckland (UTC+13 in January), and then in Los Angeles (UTC-8)
  expect(await announceOn(operator, '2027-01-09T10:59:59Z')).toEqual([]);
  expect(await announceOn(operator, '2027-01-09T11:00:00Z')).toHaveLength(1);
  expect(await announceOn(operator, '2027-01-10T07:59:59Z')).toEqual([]);
  expect(await announceOn(operator, '2027-01-10T08:00:00Z')).toHaveLength(1);
  expect((await told(operator)).map(([, vehicleId]) => vehicleId)).toEqual([east, west]);
});

it('what was passed over meanwhile is told in its order', async () => {
  const { operator, depotId } = await newOperator('An operator that was away');
  await vehicleSince(operator, depotId, '2026-01-10');
  expect(await announceOn(operator, `2028-03-01${NOON}`)).toEqual([
    'due-item.became-due brake-reserve-check',
    'due-item.became-overdue brake-reserve-check',
    'due-item.became-due filter-clean',
    'due-item.became-overdue filter-clean',
    'vehicle.hold-began',
  ]);
});

it('a date that moves there and back within one interval is not told again', async () => {
  const { operator, depotId } = await newOperator('An operator that corrects itself');
  const vehicleId = await vehicleSince(operator, depotId, '2026-01-10');
  expect(await announceOn(operator, `2027-01-12${NOON}`)).toHaveLength(1);
  const of = (day: string): Promise<unknown> =>
    operator.sql(`UPDATE due_items SET due_on = $2 WHERE vehicle_id = $1 AND task = 'brake-reserve-check'`, [
      vehicleId,
      day,
    ]);
  await of('2027-01-14');
  expect(await announceOn(operator, `2027-01-13${NOON}`)).toEqual([]);
  expect(await announceOn(operator, `2027-01-14${NOON}`)).toEqual([]);
});

it('a hold that an override lifts for some days begins again after them', async () => {
  const { operator, depotId } = await newOperator('An operator that decides');
  const vehicleId = await vehicleSince(operator, depotId, '2025-06-10');
  test.setNow(TEST_NOW);
  await announce(operator);
  const hold = await operator.admin.ok<VehicleHoldDto>('get', `/v1/vehicles/${vehicleId}/hold`);
  await operator.admin.ok('post', `/v1/vehicles/${vehicleId}/hold-overrides`, {
    body: {
      reasonKeys: hold.reasons.map(({ key }) => key),
      namedPerson: 'R. Oakes',
      statement: 'empty run to the workshop',
      fromOn: '2026-11-25',
      untilOn: '2026-11-26',
    },
  });
  expect(await announceOn(operator, `2026-11-25${NOON}`)).toEqual(['vehicle.hold-ended']);
  expect(await announceOn(operator, `2026-11-26T23:59:59Z`)).toEqual([]);
  expect(await announceOn(operator, `2026-11-27T00:00:00Z`)).toEqual(['vehicle.hold-began']);
});

it('a vehicle that is taken out of service is held no more', async () => {
  const { operator, depotId } = await newOperator('An operator that retires a vehicle');
  const vehicleId = await vehicleSince(operator, depotId, '2025-06-10');
  await operator.admin.ok('post', `/v1/vehicles/${vehicleId}/holds`, {
    body: { reason: 'fluid on the floor' },
  });
  await announce(operator);
  const { etag } = await operator.admin.call('get', `/v1/vehicles/${vehicleId}`);
  await operator.admin.ok('patch', `/v1/vehicles/${vehicleId}`, {
    body: { retiredOn: '2026-11-01' },
    ifMatch: etag,
  });
  expect(await announceOn(operator, `2026-11-25${NOON}`)).toEqual(['vehicle.hold-ended']);
});

it('workers that run together tell each once', async () => {
  const { operator, depotId } = await newOperator('An operator with two workers');
  const vehicleId = await vehicleSince(operator, depotId, '2025-06-10');
  // more than a batch: copies of the vehicle and what it owes
  await operator.sql(
    `WITH copies AS (
      INSERT INTO vehicles (organisation_id, fleet_id, depot_id, registration_mark, duty_class, odometer_unit)
        SELECT organisation_id, fleet_id, depot_id, 'COPY ' || n, duty_class, odometer_unit
          FROM vehicles CROSS JOIN generate_series(1, 449) n WHERE id = $1 RETURNING id
    )
    INSERT INTO due_items (organisation_id, vehicle_id, fleet_id, depot_id, item_key, task, safety_critical, driver,
        early_on, due_on, late_on, details, reasoning)
      SELECT organisation_id, copies.id, fleet_id, depot_id, item_key, task, safety_critical, driver, early_on, due_on,
          late_on, details, reasoning
        FROM due_items CROSS JOIN copies WHERE vehicle_id = $1`,
    [vehicleId],
  );
  const beside = await startTestApp({}, { beside: test });
  try {
    const runs = [test, beside, test, beside].map((app) => announce(operator, app));
    const counts = await Promise.all(runs);
    expect(counts.reduce((sum, count) => sum + count, 0)).toBe(450 * 3);
  } finally {
    await beside.close();
  }
  const rows = await operator.sql<{ count: string }>(
    `SELECT count(*) FROM events WHERE organisation_id = $1 AND (type LIKE 'due-item.%' OR type LIKE 'vehicle.hold-%')
      GROUP BY type, subject_id ORDER BY 1 DESC LIMIT 1`,
    [operator.organisationId],
  );
  expect(rows).toEqual([{ count: '1' }]);
  expect(await announce(operator)).toBe(0);
});

it('a run that fails between noting and telling has done neither', async () => {
  const { operator, depotId } = await newOperator('An operator that fails');
  await vehicleSince(operator, depotId, '2025-06-10');
  jest.spyOn(test.app.get(AuditTrail), 'announce').mockRejectedValueOnce(new Error('the worker was killed'));
  await expect(announce(operator)).rejects.toThrow('the worker was killed');
  expect(await told(operator)).toEqual([]);
  expect(await announce(operator)).toBe(3);
});

it('is done for every organisation by a schedule, and read in the feed', async () => {
  const { operator, depotId } = await newOperator('An operator whose worker runs');
  const vehicleId = await vehicleSince(operator, depotId, '2025-06-10');
  const feed = await new FeedReader(test, operator.organisation.administratorKey).now();
  await startWork(test.app);
  const schedules = await operator.sql<{ key: string; cron: string }>(
    'SELECT key, cron FROM jobs.schedule ORDER BY key',
  );
  expect(schedules).toEqual(
    expect.arrayContaining([
      { key: 'announce-states', cron: '*/10 * * * *' },
      { key: 'forget-events', cron: '23 * * * *' },
    ]),
  );
  // as the schedule does, twice: the second finds the first one waiting, or nothing left to tell
  const jobs = test.app.get(Jobs);
  for (let turn = 0; turn < 2; turn++)
    await jobs.enqueueForEach('announce-states', await test.app.get(Tenants).ids());
  const read = await feed.until(({ length }) => length >= 3);
  expect(read.map(({ type, vehicleid }) => [type, vehicleid])).toEqual([
    ['due-item.became-due', vehicleId],
    ['due-item.became-overdue', vehicleId],
    ['vehicle.hold-began', vehicleId],
  ]);
  expect(read.flatMap(cloudEventFaults)).toEqual([]);
  const item = read[0]?.data ?? {};
  const listed = await operator.admin.ok<{ items: object[] }>(
    'get',
    `/v1/due-items?vehicleId=${vehicleId}&state=overdue`,
  );
  expect(listed.items).toEqual([item]);
  expect(read[2]?.data).toMatchObject({
    vehicleId,
    onHold: true,
    todayOn: '2026-11-25',
    zone: 'Europe/London',
  });
});
