import { addDays, isoWeekday } from '../../src/core/shared/calendar-date';
import { BlackoutPeriodsService } from '../../src/modules/blackout-periods/blackout-periods.service';
import type {
  BlackoutPeriodDto,
  BlackoutPeriodPageDto,
} from '../../src/modules/blackout-periods/dto/blackout-period.dto';
import type { PlanningSettingsDto } from '../../src/modules/planning-settings/dto/planning-settings.dto';
import { PlanningSettingsService } from '../../src/modules/planning-settings/planning-settings.service';
import type { RosterDto } from '../../src/modules/roster-needs/dto/roster.dto';
import { RosterNeedsService } from '../../src/modules/roster-needs/roster-needs.service';
import type { WorkshopReachDto } from '../../src/modules/workshop-reach/dto/workshop-reach.dto';
import { WorkshopReachService } from '../../src/modules/workshop-reach/workshop-reach.service';
import { Transactions, type Tx } from '../../src/platform/database/transactions';
import { systemPrincipal } from '../../src/platform/security/principal';
import { apiClient, asOwner, type ApiClient, type Refusal } from '../support/api-client';
import { countStatements } from '../support/count-statements';
import { Operator } from '../support/operator';
import { startTestApp, type TestApp } from '../support/test-app';
import { TODAY } from '../support/world';

let test: TestApp;
let operator: Operator;
let admin: ApiClient;
let fleetId: string;
let depots = 0;

beforeAll(async () => {
  test = await startTestApp();
  operator = await Operator.of(test, 'Tarn Valley Patient Transport');
  admin = operator.admin;
  fleetId = await operator.fleet('Patient transport');
});
afterAll(() => test.close());

const newDepot = (): Promise<string> => operator.depot(fleetId, `Depot ${++depots}`);

/** Inside a transaction of the operator, as the makers of plans read it, with the statements that were sent. */
const reading = <T>(work: (tx: Tx) => Promise<T>): Promise<{ result: T; statements: number }> =>
  test.app
    .get(Transactions)
    .read(systemPrincipal(operator.organisationId, 'test'), (tx) => countStatements(() => work(tx)));

const audited = async (subjectType: string, subjectId: string): Promise<unknown[]> =>
  (
    await operator.sql<{ action: string; before: object | null; after: object | null }>(
      `SELECT action, before, after FROM audit_entries WHERE subject_type = $1 AND subject_id = $2 ORDER BY sequence`,
      [subjectType, subjectId],
    )
  ).map(({ action, before, after }) => [action, before, after]);

const week = (...needed: [number, number, number, number, number, number, number]) => {
  const [monday, tuesday, wednesday, thursday, friday, saturday, sunday] = needed;
  return { monday, tuesday, wednesday, thursday, friday, saturday, sunday };
};

describe('the roster of a depot', () => {
  const path = (depotId: string) => `/v1/depots/${depotId}/roster`;
  const put = (depotId: string, body: object, ifMatch = '"r0"', client = admin) =>
    client.call<RosterDto>('put', path(depotId), { body, ifMatch });

  it('needs nothing while it is not set, and says so', async () => {
    const depotId = await newDepot();
    const { status, body, etag } = await admin.call<RosterDto>('get', path(depotId));
    expect([status, etag]).toEqual([200, '"r0"']);
    expect(body).toEqual({
      depotId,
      isDefault: true,
      neededByWeekday: week(0, 0, 0, 0, 0, 0, 0),
      exceptions: [],
      vehicleCount: 0,
      warnings: [
        'Nothing is set for this depot: a plan may take all of its vehicles off the road on one day.',
      ],
      revision: 0,
    });
  });

  it('is set as a whole, warns of needs beyond the vehicles, and is audited', async () => {
    const depotId = await newDepot();
    for (const mark of ['TVP 301', 'TVP 302']) await operator.vehicle(depotId, mark);
    const retired = await operator.vehicle(depotId, 'TVP 303');
    await admin.ok('patch', `/v1/vehicles/${retired}`, { body: { retiredOn: TODAY }, ifMatch: '"r1"' });
    const leaving = await operator.vehicle(depotId, 'TVP 304');
    await admin.ok('patch', `/v1/vehicles/${leaving}`, {
      body: { retiredOn: addDays(TODAY, 1) },
      ifMatch: '"r1"',
    });
    const exceptions = [
      { fromOn: '2027-04-01', untilOn: '2027-04-03', needed: 0, reason: 'school holidays' },
      { fromOn: '2026-12-24', untilOn: '2027-01-02', needed: 9, reason: 'winter service' },
      { fromOn: '2026-10-01', untilOn: TODAY, needed: 9, reason: 'is over' },
    ];
    const first = await put(depotId, { neededByWeekday: week(3, 4, 3, 5, 2, 1, 0), exceptions });
    expect([first.status, first.etag]).toEqual([200, '"r1"']);
    expect(first.body).toEqual({
      depotId,
      isDefault: false,
      neededByWeekday: week(3, 4, 3, 5, 2, 1, 0),
      exceptions: exceptions.toReversed(),
      vehicleCount: 3,
      warnings: [
        'On Tuesday (4), Thursday (5) more vehicles are needed than the depot has (3): no plan can take any off the road.',
        'From 2026-12-24 until 2027-01-02 (9) more vehicles are needed than the depot has (3): no plan can take any off the road.',
      ],
      revision: 1,
    });
    expect(await admin.ok('get', path(depotId))).toEqual(first.body);

    const stale = await put(depotId, { neededByWeekday: week(1, 1, 1, 1, 1, 1, 1) });
    expect([stale.status, await admin.ok('get', path(depotId))]).toEqual([412, first.body]);
    const second = await put(depotId, { neededByWeekday: week(1, 1, 1, 1, 1, 0, 0) }, '"r1"');
    expect(second.body).toMatchObject({ exceptions: [], warnings: [], revision: 2 });
    expect(await audited('roster', depotId)).toEqual([
      ['changed', expect.objectContaining({ isDefault: true, revision: 0 }), first.body],
      ['changed', first.body, second.body],
    ]);
  });

  it('is refused with the field where it cannot be', async () => {
    const depotId = await newDepot();
    const neededByWeekday = week(1, 1, 1, 1, 1, 0, 0);
    const refused = (body: object) => admin.refused('put', path(depotId), { body, ifMatch: '"r0"' });
    const exceptions = (...spans: [string, string][]) => ({
      neededByWeekday,
      exceptions: spans.map(([fromOn, untilOn]) => ({ fromOn, untilOn, needed: 1, reason: 'fair' })),
    });
    expect(await refused({ neededByWeekday: { ...neededByWeekday, sunday: -1 } })).toEqual([
      422,
      '#/neededByWeekday/sunday',
    ]);
    expect(await refused(exceptions(['2026-12-24', '2026-12-24']))).toEqual([422, '#/exceptions/0/untilOn']);
    expect(
      await refused(
        exceptions(['2026-12-24', '2026-12-30'], ['2026-12-30', '2027-01-02'], ['2026-12-20', '2026-12-25']),
      ),
    ).toEqual([422, '#/exceptions/2/fromOn']);
    expect(await admin.refused('put', path(depotId), { body: { neededByWeekday } })).toEqual([428]);
    expect(await admin.ok('get', path(depotId))).toMatchObject({ isDefault: true });
  });

  it('is set by one of two who set it for the first time at once', async () => {
    const depotId = await newDepot();
    const answers = await Promise.all(
      [1, 2].map((needed) => put(depotId, { neededByWeekday: week(needed, 0, 0, 0, 0, 0, 0) })),
    );
    expect(answers.map(({ status }) => status).sort()).toEqual([200, 412]);
  });

  it('tells plans what is needed day by day, of many depots by one statement', async () => {
    const [whole, none, partly] = [await newDepot(), await newDepot(), await newDepot()];
    const neededByWeekday = week(1, 2, 3, 4, 5, 6, 7);
    await put(whole, { neededByWeekday });
    const exceptions = [
      { fromOn: '2026-11-20', untilOn: '2026-11-27', needed: 10, reason: 'begins before' },
      { fromOn: '2026-12-01', untilOn: '2026-12-02', needed: 11, reason: 'one day' },
      { fromOn: '2026-12-08', untilOn: '2026-12-30', needed: 12, reason: 'ends after' },
      { fromOn: '2027-01-08', untilOn: '2027-01-30', needed: 13, reason: 'lies after' },
      { fromOn: '2026-11-01', untilOn: '2026-11-02', needed: 14, reason: 'lies before' },
    ];
    await put(partly, { neededByWeekday, exceptions });
    const { result, statements } = await reading((tx) =>
      test.app.get(RosterNeedsService).neededOn(tx, [whole, none, partly], TODAY, '2026-12-10'),
    );
    expect(statements).toBe(1);
    const days = Array.from({ length: 15 }, (_, day) => addDays(TODAY, day));
    const exceptionOn = (on: string) =>
      exceptions.find(({ fromOn, untilOn }) => fromOn <= on && on < untilOn)?.needed;
    expect([...result]).toEqual([
      [whole, { isDefault: false, neededByDay: days.map(isoWeekday) }],
      [none, { isDefault: true, neededByDay: days.map(() => 0) }],
      [partly, { isDefault: false, neededByDay: days.map((on) => exceptionOn(on) ?? isoWeekday(on)) }],
    ]);
    // by hand: Wednesday 25 November to Wednesday 9 December 2026
    expect(result.get(partly)?.neededByDay).toEqual([10, 10, 5, 6, 7, 1, 11, 3, 4, 5, 6, 7, 1, 12, 12]);
  });

  it('is read by everybody and set by planners, of their own fleets', async () => {
    const depotId = await newDepot();
    const otherFleetId = await operator.fleet('School runs');
    const body = { neededByWeekday: week(0, 0, 0, 0, 0, 0, 0) };
    for (const role of ['front-desk', 'technician', 'dealer-system'] as const) {
      const colleague = await operator.colleague(role);
      expect((await colleague.call('get', path(depotId))).status).toBe(200);
      expect((await put(depotId, body, '"r0"', colleague)).status).toBe(403);
    }
    const elsewhere = await operator.colleague('fleet-planner', [otherFleetId]);
    expect((await elsewhere.call('get', path(depotId))).status).toBe(404);
    expect((await put(depotId, body, '"r0"', elsewhere)).status).toBe(404);
    expect((await put(depotId, body, '"r0"', await operator.colleague('fleet-planner'))).status).toBe(200);
  });
});

describe('blackout periods', () => {
  const path = (vehicleId: string) => `/v1/vehicles/${vehicleId}/blackout-periods`;
  const REASON = 'the only one with a stretcher lift';
  let depotId: string;
  beforeAll(async () => {
    depotId = await newDepot();
  });
  let marks = 400;
  const newVehicle = () => operator.vehicle(depotId, `TVP ${++marks}`);
  const add = (vehicleId: string, fromOn: string, untilOn: string, reason = REASON) =>
    admin.ok<BlackoutPeriodDto>('post', path(vehicleId), { body: { fromOn, untilOn, reason } });

  it('are added, listed page by page, read and deleted, each audited', async () => {
    const vehicleId = await newVehicle();
    const later = await add(vehicleId, '2026-12-24', '2027-01-02');
    expect(later).toEqual({
      id: expect.any(String) as string,
      vehicleId,
      fromOn: '2026-12-24',
      untilOn: '2027-01-02',
      externalKey: null,
      reason: REASON,
      recordedAt: expect.any(String) as string,
      revision: 1,
    });
    const longer = await add(vehicleId, '2026-12-01', '2026-12-09');
    const shorter = await add(vehicleId, '2026-12-01', '2026-12-08');
    const seen: BlackoutPeriodDto[] = [];
    for (let query = '?limit=1'; query !== '';) {
      const { items, next } = await admin.ok<BlackoutPeriodPageDto>('get', path(vehicleId) + query);
      seen.push(...items);
      query = next === null ? '' : `?limit=1&cursor=${encodeURIComponent(next)}`;
    }
    expect(seen).toEqual([shorter, longer, later]);

    const one = `${path(vehicleId)}/${later.id}`;
    expect(await admin.call('get', one)).toEqual({ status: 200, body: later, etag: '"r1"' });
    expect(await admin.refused('delete', one)).toEqual([428]);
    expect(await admin.refused('delete', one, { ifMatch: '"r2"' })).toEqual([412]);
    expect((await admin.call('delete', one, { ifMatch: '"r1"' })).status).toBe(204);
    expect((await admin.call('get', one)).status).toBe(404);
    expect(await audited('blackout-period', later.id)).toEqual([
      ['created', null, later],
      ['deleted', later, null],
    ]);
  });

  it('may overlap, but are not there twice', async () => {
    const vehicleId = await newVehicle();
    const { id } = await add(vehicleId, '2026-12-01', '2026-12-08');
    await add(vehicleId, '2026-12-05', '2026-12-12');
    await add(await newVehicle(), '2026-12-01', '2026-12-08');
    const again = await admin.call<Refusal & { existingId?: string }>('post', path(vehicleId), {
      body: { fromOn: '2026-12-01', untilOn: '2026-12-08', reason: 'another reason' },
    });
    expect([again.status, again.body.existingId]).toEqual([409, id]);
    const body = { fromOn: '2027-02-01', untilOn: '2027-02-08', reason: REASON };
    const answers = await Promise.all([1, 2, 3].map(() => admin.call('post', path(vehicleId), { body })));
    expect(answers.map(({ status }) => status).sort()).toEqual([201, 409, 409]);
    const headers = { body: { ...body, untilOn: '2027-02-09' }, idempotencyKey: 'blackout-of-the-test' };
    const [first, repeated] = [
      await admin.ok('post', path(vehicleId), headers),
      await admin.ok('post', path(vehicleId), headers),
    ];
    expect(repeated).toEqual(first);
  });

  it('have days, and at most two years of them', async () => {
    const vehicleId = await newVehicle();
    const refused = (fromOn: string, untilOn: string, reason = REASON) =>
      admin.refused('post', path(vehicleId), { body: { fromOn, untilOn, reason } });
    expect(await refused('2026-12-08', '2026-12-08')).toEqual([422, '#/untilOn']);
    expect(await refused('2026-12-08', '2028-12-09')).toEqual([422, '#/untilOn']);
    await add(vehicleId, '2026-12-08', '2028-12-08');
    // two years after a leap day end with February
    expect(await refused('2028-02-29', '2030-03-01')).toEqual([422, '#/untilOn']);
    await add(vehicleId, '2028-02-29', '2030-02-28');
    expect(await refused('2026-12-08', '2026-12-09', '')).toEqual([422, '#/reason']);
  });

  it('belong to their vehicle, and to those who see it', async () => {
    const [vehicleId, otherId] = [await newVehicle(), await newVehicle()];
    const { id } = await add(vehicleId, '2026-12-01', '2026-12-08');
    expect((await admin.call('get', `${path(otherId)}/${id}`)).status).toBe(404);
    expect((await admin.call('delete', `${path(otherId)}/${id}`, { ifMatch: '"r1"' })).status).toBe(404);
    const technician = await operator.colleague('technician');
    const body = { fromOn: '2026-12-01', untilOn: '2026-12-09', reason: REASON };
    expect((await technician.call('get', `${path(vehicleId)}/${id}`)).status).toBe(200);
    expect((await technician.call('post', path(vehicleId), { body })).status).toBe(403);
    const elsewhere = await operator.colleague('fleet-planner', [await operator.fleet('Night service')]);
    expect((await elsewhere.call('get', path(vehicleId))).status).toBe(404);
    expect((await elsewhere.call('get', `${path(vehicleId)}/${id}`)).status).toBe(404);
  });

  it('are told to plans, those of many vehicles by one statement', async () => {
    const [first, second, third, without] = [
      await newVehicle(),
      await newVehicle(),
      await newVehicle(),
      await newVehicle(),
    ];
    const touching = [
      await add(first, '2026-11-01', '2026-12-02'),
      await add(first, '2026-12-09', '2026-12-20'),
      await add(second, '2026-12-03', '2026-12-04'),
    ];
    await add(second, '2026-11-01', '2026-12-01');
    await add(third, '2026-12-10', '2026-12-20');
    const { result, statements } = await reading((tx) =>
      test.app
        .get(BlackoutPeriodsService)
        .ofVehicles(tx, [without, third, second, first], '2026-12-01', '2026-12-10'),
    );
    expect(statements).toBe(1);
    const ids = (vehicleId: string) => result.get(vehicleId)?.map(({ id }) => id);
    expect([ids(first), ids(second)]).toEqual([
      touching.slice(0, 2).map(({ id }) => id),
      touching.slice(2).map(({ id }) => id),
    ]);
    expect([...result.keys()].sort()).toEqual([first, second].sort());
    expect(result.get(second)?.[0]).toMatchObject({
      fromOn: '2026-12-03',
      untilOn: '2026-12-04',
      reason: REASON,
    });
  });
});

describe('the workshops within reach of a depot', () => {
  const path = (depotId: string) => `/v1/depots/${depotId}/workshop-reach`;
  const put = (depotId: string, workshops: object[], ifMatch = '"r0"') =>
    admin.call<WorkshopReachDto>('put', path(depotId), { body: { workshops }, ifMatch });
  const hours = [{ weekday: 1, windows: [{ from: '08:00', until: '17:00' }] }];
  const newWorkshop = async (of: ApiClient, name: string) =>
    (
      await of.ok<{ id: string }>('post', '/v1/workshops', {
        body: { name, zone: 'Europe/London', weeklyHours: hours },
      })
    ).id;
  let upper: string;
  let lower: string;
  beforeAll(async () => {
    upper = await newWorkshop(admin, 'Upper Tarn workshop');
    lower = await newWorkshop(admin, 'Lower Tarn workshop');
  });

  it('are all of them, at no cost, while nothing is set', async () => {
    const depotId = await newDepot();
    expect(await admin.call('get', path(depotId))).toEqual({
      status: 200,
      body: {
        depotId,
        isDefault: true,
        workshops: [],
        warnings: [
          'Nothing is set for this depot: its vehicles can go to every workshop, at no cost for the way.',
        ],
        revision: 0,
      },
      etag: '"r0"',
    });
  });

  it('are set as a whole, told the nearest first, and audited', async () => {
    const depotId = await newDepot();
    const near = { workshopId: lower, transferMinutes: 20, transferCostMinor: 1_500 };
    const far = { workshopId: upper, transferMinutes: 90, transferCostMinor: 6_000 };
    const first = await put(depotId, [far, near]);
    expect([first.status, first.etag]).toEqual([200, '"r1"']);
    expect(first.body).toEqual({
      depotId,
      isDefault: false,
      workshops: [near, far],
      warnings: [],
      revision: 1,
    });
    expect((await put(depotId, [near])).status).toBe(412);
    expect(await admin.ok('get', path(depotId))).toEqual(first.body);
    // an id in capitals is the same id
    const second = await put(depotId, [{ ...near, workshopId: lower.toUpperCase() }], '"r1"');
    expect(second.body).toMatchObject({ workshops: [near], revision: 2 });
    expect(await audited('workshop-reach', depotId)).toEqual([
      ['changed', expect.objectContaining({ isDefault: true, revision: 0 }), first.body],
      ['changed', first.body, second.body],
    ]);
  });

  it('are refused by their place in the list', async () => {
    const depotId = await newDepot();
    const at = (workshopId: string) => ({ workshopId, transferMinutes: 0, transferCostMinor: 0 });
    const refused = (workshops: object[]) =>
      admin.refused('put', path(depotId), { body: { workshops }, ifMatch: '"r0"' });
    const stranger = await Operator.of(test, 'Another operator');
    const foreign = await newWorkshop(stranger.admin, 'Elsewhere');
    expect(await refused([at(upper), at(depotId), at(lower), at(foreign), at(upper)])).toEqual([
      422,
      '#/workshops/1/workshopId',
      '#/workshops/3/workshopId',
      '#/workshops/4/workshopId',
    ]);
    expect(await refused([at(upper), at(upper.toUpperCase())])).toEqual([422, '#/workshops/1/workshopId']);
    expect(await refused([])).toEqual([422, '#/workshops']);
    expect(await refused([{ ...at(upper), transferCostMinor: 0.5 }])).toEqual([
      422,
      '#/workshops/0/transferCostMinor',
    ]);
    expect(await refused(Array.from({ length: 51 }, () => at(upper)))).toEqual([422, '#/workshops']);
    expect(await admin.ok('get', path(depotId))).toMatchObject({ isDefault: true });
  });

  it('are those that a key limited to workshops sees, and it changes no others', async () => {
    const depotId = await newDepot();
    const at = (workshopId: string, transferMinutes: number) => ({
      workshopId,
      transferMinutes,
      transferCostMinor: 0,
    });
    await put(depotId, [at(upper, 10), at(lower, 20)]);
    const { key } = await admin.ok<{ key: string }>('post', '/v1/api-keys', {
      body: { name: 'lower workshop', role: 'fleet-planner', workshopIds: [lower] },
    });
    const limited = apiClient(test, key);
    expect(await limited.ok('get', path(depotId))).toMatchObject({ workshops: [at(lower, 20)] });
    const change = (workshops: object[], ifMatch: string) =>
      limited.call<WorkshopReachDto>('put', path(depotId), { body: { workshops }, ifMatch });
    expect((await change([at(upper, 1)], '"r1"')).status).toBe(422);
    expect((await change([at(lower, 30)], '"r1"')).body.workshops).toEqual([at(lower, 30)]);
    expect(await admin.ok('get', path(depotId))).toMatchObject({
      workshops: [at(upper, 10), at(lower, 30)],
      revision: 2,
    });
  });

  it('are told to plans, those of many depots by one statement', async () => {
    const [set, unset, another] = [await newDepot(), await newDepot(), await newDepot()];
    const near = { workshopId: lower, transferMinutes: 20, transferCostMinor: 1_500 };
    const far = { workshopId: upper, transferMinutes: 20, transferCostMinor: 1_600 };
    await put(set, [far, near]);
    await put(another, [far]);
    const { result, statements } = await reading((tx) =>
      test.app.get(WorkshopReachService).ofDepots(tx, [set, unset, another]),
    );
    expect(statements).toBe(1);
    expect([...result]).toEqual([
      [set, [near, far]],
      [unset, null],
      [another, [far]],
    ]);
  });

  it('are set by one of two who set them for the first time at once', async () => {
    const depotId = await newDepot();
    const answers = await Promise.all(
      [upper, lower].map((workshopId) =>
        put(depotId, [{ workshopId, transferMinutes: 0, transferCostMinor: 0 }]),
      ),
    );
    expect(answers.map(({ status }) => status).sort()).toEqual([200, 412]);
    expect((await admin.ok<WorkshopReachDto>('get', path(depotId))).workshops).toHaveLength(1);
  });
});

describe('planning settings', () => {
  const path = '/v1/planning-settings';
  const SETTINGS = {
    currency: 'GBP',
    visitLossMinor: 14_000,
    valuePerItemMinor: 11_000,
    valueByTask: [
      { task: 'fluid-change', valueMinor: 18_000 },
      { task: 'gas-unit-exchange', valueMinor: 9_000 },
    ],
    riskPerLateDayMinor: { safetyCritical: 9_000, other: 700 },
    leftOutMinor: 400_000,
    horizonDays: 60,
  };
  const newOperator = (name: string) => Operator.of(test, name);
  const put = (client: ApiClient, body: object, ifMatch = '"r0"') =>
    client.call<PlanningSettingsDto>('put', path, { body, ifMatch });

  it('are the stated defaults while nothing is set', async () => {
    expect(await admin.call('get', path)).toEqual({
      status: 200,
      body: {
        currency: 'EUR',
        visitLossMinor: 15_000,
        valuePerItemMinor: 12_000,
        valueByTask: [],
        riskPerLateDayMinor: { safetyCritical: 8_000, other: 800 },
        leftOutMinor: 500_000,
        horizonDays: 90,
        isDefault: true,
        revision: 0,
      },
      etag: '"r0"',
    });
  });

  it('are set once for the organisation and for no other, audited, and told to plans', async () => {
    const own = await newOperator('An operator with settings');
    const first = await put(own.admin, SETTINGS);
    expect(first).toEqual({
      status: 200,
      body: { ...SETTINGS, isDefault: false, revision: 1 },
      etag: '"r1"',
    });
    expect((await put(own.admin, { ...SETTINGS, horizonDays: 61 })).status).toBe(412);
    const second = await put(own.admin, { ...SETTINGS, valueByTask: [] }, '"r1"');
    expect(second.body).toEqual({ ...SETTINGS, valueByTask: [], isDefault: false, revision: 2 });
    expect(await own.admin.ok('get', path)).toEqual(second.body);
    expect(await admin.ok('get', path)).toMatchObject({ isDefault: true });
    const entries = await asOwner(
      test,
      own.organisationId,
      `SELECT before, after FROM audit_entries WHERE organisation_id = $1 AND subject_type = 'planning-settings'
        ORDER BY sequence`,
      [own.organisationId],
    );
    expect(entries).toEqual([
      { before: expect.objectContaining({ isDefault: true }) as object, after: first.body },
      { before: first.body, after: second.body },
    ]);
    const told = await test.app
      .get(Transactions)
      .read(systemPrincipal(own.organisationId, 'test'), (tx) =>
        test.app.get(PlanningSettingsService).of(tx),
      );
    expect(told).toEqual(second.body);
  });

  it('are set by one of two who set them for the first time at once', async () => {
    const own = await newOperator('An operator of two planners');
    const answers = await Promise.all(
      [30, 31].map((horizonDays) => put(own.admin, { ...SETTINGS, horizonDays })),
    );
    expect(answers.map(({ status }) => status).sort()).toEqual([200, 412]);
  });

  it('are refused with the field where they cannot be', async () => {
    const refused = (more: object) =>
      admin.refused('put', path, { body: { ...SETTINGS, ...more }, ifMatch: '"r0"' });
    // three capital letters, but of no currency
    expect(await refused({ currency: 'QQQ' })).toEqual([422, '#/currency']);
    expect(await refused({ currency: 'gbp' })).toEqual([422, '#/currency']);
    const twice = [...SETTINGS.valueByTask, { task: 'fluid-change', valueMinor: 1 }];
    expect(await refused({ valueByTask: twice, leftOutMinor: 14_000 })).toEqual([
      422,
      '#/valueByTask/2/task',
      '#/leftOutMinor',
    ]);
    expect(await refused({ horizonDays: 6 })).toEqual([422, '#/horizonDays']);
    expect(await refused({ horizonDays: 367 })).toEqual([422, '#/horizonDays']);
    expect(await refused({ riskPerLateDayMinor: { safetyCritical: 1 } })).toEqual([
      422,
      '#/riskPerLateDayMinor/other',
    ]);
    expect(await refused({ visitLossMinor: 0.5 })).toEqual([422, '#/visitLossMinor']);
    expect(await admin.ok('get', path)).toMatchObject({ isDefault: true });
  });

  it('are read by everybody, and set by planners who see every fleet', async () => {
    for (const role of ['front-desk', 'technician', 'dealer-system'] as const) {
      const colleague = await operator.colleague(role);
      expect((await colleague.call('get', path)).status).toBe(200);
      expect((await put(colleague, SETTINGS)).status).toBe(403);
    }
    const ofOneFleet = await operator.colleague('fleet-planner', [fleetId]);
    expect((await ofOneFleet.call('get', path)).status).toBe(200);
    expect((await put(ofOneFleet, SETTINGS)).status).toBe(403);
    expect(await admin.ok('get', path)).toMatchObject({ isDefault: true });
  });
});

it('another organisation finds none of it', async () => {
  const depotId = await newDepot();
  const vehicleId = await operator.vehicle(depotId, 'TVP 501');
  const { id } = await admin.ok<BlackoutPeriodDto>('post', `/v1/vehicles/${vehicleId}/blackout-periods`, {
    body: { fromOn: '2026-12-01', untilOn: '2026-12-08', reason: 'school fair' },
  });
  const stranger = (await Operator.of(test, 'A stranger')).admin;
  for (const path of [
    `/v1/depots/${depotId}/roster`,
    `/v1/depots/${depotId}/workshop-reach`,
    `/v1/vehicles/${vehicleId}/blackout-periods`,
    `/v1/vehicles/${vehicleId}/blackout-periods/${id}`,
  ])
    expect([path, (await stranger.call('get', path)).status]).toEqual([path, 404]);
});
