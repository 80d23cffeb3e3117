import type { RuleOptions } from '../../src/core/due/rule';
import { addDays } from '../../src/core/shared/calendar-date';
import type { BookingDto, BookingPageDto } from '../../src/modules/bookings/dto/booking.dto';
import type {
  DowntimePlanDto,
  PlanComparisonDto,
  PlanProgressDto,
} from '../../src/modules/downtime-plans/dto/downtime-plan.dto';
import type {
  PlannedItemPageDto,
  PlannedVisitDto,
  PlannedVisitPageDto,
  PlanViewsDto,
} from '../../src/modules/downtime-plans/dto/planned-visit.dto';
import { DowntimePlanRunnerService } from '../../src/modules/downtime-plans/downtime-plan-runner.service';
import { PlanAcceptanceService } from '../../src/modules/downtime-plans/plan-acceptance.service';
import { parseApiKey } from '../../src/platform/security/api-key-token';
import { addKey, type ApiClient, type Refusal } from '../support/api-client';
import { Operator } from '../support/operator';
import { startTestApp, TEST_NOW, type TestApp } from '../support/test-app';

const SOURCE = { source: 'made for the test' };
const RULES: RuleOptions[] = [
  {
    code: 'fluid-change',
    task: 'fluid-change',
    title: 'Change the fluid',
    everyMonths: 24,
    tolerance: { earlyDays: 40, lateDays: 14 },
    labourMinutes: 90,
    competences: ['hydraulics'],
    satisfies: ['filter-clean'],
    ...SOURCE,
  },
  {
    code: 'filter-clean',
    task: 'filter-clean',
    title: 'Clean the filter',
    everyMonths: 24,
    tolerance: { earlyDays: 40, lateDays: 20 },
    labourMinutes: 25,
    competences: ['hydraulics'],
    ...SOURCE,
  },
  {
    code: 'brake-reserve-check',
    task: 'brake-reserve-check',
    title: 'Check the brake reserve',
    everyMonths: 25,
    tolerance: { earlyDays: 30, lateDays: 0 },
    safetyCritical: true,
    labourMinutes: 60,
    competences: ['brakes'],
    ...SOURCE,
  },
];
const OPENING = [1, 2, 3, 4, 5].map((weekday) => ({
  weekday,
  windows: [
    { from: '08:00', until: '12:00' },
    { from: '13:00', until: '17:00' },
  ],
}));
const VEHICLES = 12;
const FROM = '2026-11-26';

let test: TestApp;
let operator: Operator;
let admin: ApiClient;
let fleetId: string;
let depotId: string;
let workshopId: string;
let vehicleIds: string[];

beforeAll(async () => {
  test = await startTestApp();
  operator = await Operator.of(test, 'Tarn Valley Patient Transport');
  admin = operator.admin;
  await operator.follows(RULES);
  fleetId = await operator.fleet('patient transport');
  depotId = await operator.depot(fleetId, 'Upper Tarn');
  const add = async (path: string, body: object): Promise<string> =>
    (await admin.ok<{ id: string }>('post', path, { body })).id;
  workshopId = await add('/v1/workshops', {
    name: 'Upper Tarn workshop',
    zone: 'Europe/London',
    weeklyHours: OPENING,
    vehicleStay: 'over-breaks',
    minutesBefore: 10,
    minutesAfter: 5,
  });
  await add(`/v1/workshops/${workshopId}/bays`, { name: 'Lift', kinds: ['lift', 'flat'] });
  for (const [name, competences] of [
    ['First hand', ['hydraulics']],
    ['Second hand', ['hydraulics', 'brakes']],
  ] as const)
    await add(`/v1/workshops/${workshopId}/technicians`, {
      name,
      competences: competences.map((code) => ({ code })),
      shifts: OPENING,
    });
  vehicleIds = [];
  for (let n = 0; n < VEHICLES; n++)
    vehicleIds.push(
      await operator.vehicle(depotId, `TVP ${100 + n}`, { inServiceOn: addDays('2024-12-01', 4 * n) }),
    );
  await put(`/v1/depots/${depotId}/roster`, {
    neededByWeekday: {
      monday: VEHICLES - 1,
      tuesday: VEHICLES - 2,
      wednesday: VEHICLES - 2,
      thursday: VEHICLES,
      friday: VEHICLES - 1,
      saturday: 0,
      sunday: 0,
    },
    exceptions: [],
  });
});

afterAll(() => test.close());

async function put(path: string, body: object): Promise<void> {
  const { revision } = await admin.ok<{ revision: number }>('get', path);
  await admin.ok('put', path, { body, ifMatch: `"r${revision}"` });
}

const runner = (): DowntimePlanRunnerService => test.app.get(DowntimePlanRunnerService);
const read = (id: string) => admin.ok<DowntimePlanDto>('get', `/v1/downtime-plans/${id}`);
const visitsOf = async (id: string): Promise<PlannedVisitDto[]> =>
  (await admin.ok<PlannedVisitPageDto>('get', `/v1/downtime-plans/${id}/visits?limit=500`)).items;
const itemsOf = async (id: string, query = ''): Promise<PlannedItemPageDto['items']> =>
  (await admin.ok<PlannedItemPageDto>('get', `/v1/downtime-plans/${id}/items?limit=500${query}`)).items;

async function planned(body: object): Promise<DowntimePlanDto> {
  const { status, body: started } = await admin.call<DowntimePlanDto>('post', '/v1/downtime-plans', {
    body: { days: 90, effort: 'quick', ...body },
  });
  expect({ status, state: started.state }).toEqual({ status: 202, state: 'queued' });
  await runner().run(operator.organisationId, started.id);
  return read(started.id);
}

async function accepted(plan: DowntimePlanDto, visitIds?: string[], runs = 1): Promise<DowntimePlanDto> {
  const { status } = await admin.call('post', `/v1/downtime-plans/${plan.id}/acceptance`, {
    body: visitIds === undefined ? {} : { visitIds },
    ifMatch: `"r${plan.revision}"`,
  });
  expect(status).toBe(202);
  const job = {
    organisationId: operator.organisationId,
    planId: plan.id,
    visitIds: visitIds ?? null,
    actorId: null,
    actor: 'the test',
  };
  await Promise.all(Array.from({ length: runs }, () => test.app.get(PlanAcceptanceService).run(job)));
  return read(plan.id);
}

it('stops with the best so far', async () => {
  const started = await admin.ok<DowntimePlanDto>('post', '/v1/downtime-plans', {
    body: { fleetId, days: 90, effort: 'thorough' },
  });
  const stopped = await admin.ok<DowntimePlanDto>('post', `/v1/downtime-plans/${started.id}/stop`, {
    ifMatch: `"r${started.revision}"`,
  });
  expect(stopped.state).toBe('queued');
  await runner().run(operator.organisationId, started.id);
  expect(await read(started.id)).toMatchObject({ state: 'ready', outcome: { stoppedEarly: true } });
});

describe('a plan', () => {
  let plan: DowntimePlanDto;
  let visits: PlannedVisitDto[];

  beforeAll(async () => {
    plan = await planned({ fleetId });
    visits = await visitsOf(plan.id);
  });

  it('does every item once, within its window, on days the workshop is open', async () => {
    expect(plan).toMatchObject({ state: 'ready', fromOn: FROM, depotIds: [depotId], failure: null });
    const items = await itemsOf(plan.id);
    expect(items).toHaveLength(3 * VEHICLES);
    expect(new Set(items.map(({ vehicleId, dueItemKey }) => `${vehicleId} ${dueItemKey}`)).size).toBe(
      items.length,
    );
    for (const { plannedOn, earliestOn, latestOn } of items) {
      expect(plannedOn! >= earliestOn && plannedOn! <= latestOn).toBe(true);
      expect(new Date(plannedOn!).getUTCDay() % 6).not.toBe(0);
    }
    expect(visits.flatMap((visit) => visit.items)).toHaveLength(items.length);
  });

  it('takes no more vehicles off a depot than its roster spares', async () => {
    const { depots, workshops } = await admin.ok<PlanViewsDto>('get', `/v1/downtime-plans/${plan.id}/views`);
    const [depot] = depots;
    expect(depot).toMatchObject({ depotId, name: 'Upper Tarn' });
    for (const { vehicles, neededOnRoad, offRoadAfter, on } of depot!.days) {
      expect(vehicles - offRoadAfter).toBeGreaterThanOrEqual(neededOnRoad);
      expect(offRoadAfter).toBe(visits.filter((visit) => visit.on === on).length);
    }
    expect(visits.some(({ on }) => new Date(on).getUTCDay() === 4)).toBe(false);
    const minutes = workshops[0]!.weeks.reduce((sum, week) => sum + week.plannedMinutes, 0);
    expect(minutes).toBe(visits.reduce((sum, { workMinutes }) => sum + workMinutes, 0));
  });

  it('costs less than the naive way, and says how far it may be from the best', () => {
    const { plan: figures, naive, booked, boundMinor, gapPercent, currency, conflicts } = plan.outcome!;
    expect(currency).toBe('EUR');
    expect(figures).toMatchObject({
      itemsDone: 3 * VEHICLES,
      itemsLeftOut: 0,
      itemsTooLate: 0,
      visits: visits.length,
    });
    expect(figures.costMinor).toBeLessThan(naive.costMinor);
    expect(booked).toMatchObject({ visits: 0, itemsLeftOut: 3 * VEHICLES });
    expect(boundMinor).toBeLessThanOrEqual(figures.costMinor);
    expect(gapPercent).toBeCloseTo((100 * (figures.costMinor - boundMinor)) / figures.costMinor, 1);
    expect(conflicts).toEqual([]);
    // what is settled by the way takes no minutes
    const whole = visits.find(({ items }) => items.length === 3);
    expect(whole?.workMinutes).toBe(150);
  });

  it('tells why an item is not on the day it is due', async () => {
    const items = await itemsOf(plan.id);
    for (const { reason, because, plannedOn, dueOn } of items) {
      expect(reason === 'on-due-day').toBe(plannedOn === dueOn);
      expect(because).not.toBe('');
    }
    const [one] = await itemsOf(plan.id, `&vehicleId=${vehicleIds[0]}&reason=cheaper-this-way`);
    expect(one?.because).toContain('costs less');
  });

  it('is the same again', async () => {
    const again = await planned({ basedOnId: plan.id });
    expect(again.basedOnId).toBe(plan.id);
    expect(again.outcome!.plan).toEqual(plan.outcome!.plan);
    const comparison = await admin.ok<PlanComparisonDto>(
      'get',
      `/v1/downtime-plans/${again.id}/comparison?withId=${plan.id}`,
    );
    expect(new Set(Object.values(comparison.difference))).toEqual(new Set([0]));
  });

  it('tells its progress, at once and as events', async () => {
    const progress = await admin.ok<PlanProgressDto>('get', `/v1/downtime-plans/${plan.id}/progress`);
    expect(progress).toMatchObject({ state: 'ready', doneShare: 1, stopRequested: false });
    const events = await admin.call<string>('get', `/v1/downtime-plans/${plan.id}/progress-events`);
    expect(events.status).toBe(200);
  });

  it('keeps what is locked and forbidden when it is made again', async () => {
    const [first] = visits;
    const other = visits.find(({ vehicleId }) => vehicleId !== first!.vehicleId)!;
    const movedOn = addDays(first!.on, first!.on < '2026-12-01' ? 7 : -1);
    const wishes = {
      locked: [
        {
          vehicleId: first!.vehicleId,
          workshopId,
          on: new Date(movedOn).getUTCDay() === 4 ? addDays(movedOn, -1) : movedOn,
          dueItemKeys: first!.items.map(({ dueItemKey }) => dueItemKey),
        },
      ],
      forbidden: [{ vehicleId: other.vehicleId, on: other.on }],
    };
    const again = await planned({ basedOnId: plan.id, wishes });
    expect(again).toMatchObject({ state: 'ready', wishes });
    const after = await visitsOf(again.id);
    const kept = after.find(({ isLocked }) => isLocked);
    expect(kept).toMatchObject({ vehicleId: first!.vehicleId, on: wishes.locked[0]!.on });
    expect(kept?.items.every(({ reason }) => reason === 'locked')).toBe(true);
    expect(after.filter(({ vehicleId, on }) => vehicleId === other.vehicleId && on === other.on)).toEqual([]);
    expect(again.outcome!.plan.itemsDone).toBe(3 * VEHICLES);
  });

  it('names the fewest facts that rule a wish out', async () => {
    const [first] = visits;
    // the whole roster is needed on Thursdays
    const wishes = {
      locked: [
        {
          vehicleId: first!.vehicleId,
          workshopId,
          on: '2026-12-03',
          dueItemKeys: first!.items.map(({ dueItemKey }) => dueItemKey),
        },
      ],
      forbidden: [],
    };
    const again = await planned({ basedOnId: plan.id, wishes });
    expect(again.state).toBe('impossible');
    expect(again.outcome!.conflicts).toEqual([
      {
        vehicleId: first!.vehicleId,
        registrationMark: first!.registrationMark,
        wanted: expect.stringContaining('2026-12-03') as string,
        facts: ['The roster of Upper Tarn spares no more vehicle on these days.'],
      },
    ]);
    expect(await visitsOf(again.id)).toEqual([]);
  });

  it('shows what a technician more, a closed bay or a higher need would change', async () => {
    const more = await planned({
      basedOnId: plan.id,
      assumptions: [
        { kind: 'more-technicians', workshopId, count: 1, competences: ['hydraulics', 'brakes'] },
      ],
    });
    expect(more.outcome!.plan.costMinor).toBeLessThanOrEqual(plan.outcome!.plan.costMinor);
    const need = await planned({
      basedOnId: plan.id,
      assumptions: [{ kind: 'roster-need', depotId, change: VEHICLES }],
    });
    expect(need.outcome!.plan).toMatchObject({ visits: 0, itemsLeftOut: 3 * VEHICLES });
    expect(need.outcome!.conflicts.length).toBeGreaterThan(0);
    const refused = await admin.call<Refusal>('post', `/v1/downtime-plans/${more.id}/acceptance`, {
      body: {},
      ifMatch: `"r${more.revision}"`,
    });
    expect(refused.status).toBe(409);
  });

  it('is open again where the key that accepts it is revoked meanwhile', async () => {
    const key = parseApiKey(await addKey(test, operator.organisation, 'fleet-planner'));
    const current = await read(plan.id);
    await admin.ok('post', `/v1/downtime-plans/${plan.id}/acceptance`, {
      body: {},
      ifMatch: `"r${current.revision}"`,
    });
    await operator.sql('UPDATE api_keys SET revoked_at = now() WHERE id = $1', [key!.apiKeyId]);
    await test.app.get(PlanAcceptanceService).run({
      organisationId: operator.organisationId,
      planId: plan.id,
      visitIds: null,
      actorId: key!.apiKeyId,
      actor: 'a planner who left',
    });
    expect(await read(plan.id)).toMatchObject({
      state: 'ready',
      failure: 'This key has been revoked or has expired.',
    });
    expect(new Set((await visitsOf(plan.id)).map(({ acceptance }) => acceptance))).toEqual(new Set(['open']));
  });

  it('becomes bookings; what has been taken meanwhile is refused, and planned again', async () => {
    const fresh = await planned({ fleetId });
    const before = await visitsOf(fresh.id);
    const [first, second] = before;
    const one = await accepted(fresh, [first!.id]);
    expect(one.state).toBe('ready');
    const booked = (await visitsOf(fresh.id)).find(({ id }) => id === first!.id)!;
    expect(booked.acceptance).toBe('booked');
    const booking = await admin.ok<BookingDto>('get', `/v1/bookings/${booked.bookingId}`);
    expect(booking).toMatchObject({ vehicleId: first!.vehicleId, workshopId, state: 'confirmed' });
    expect(booking.startsAt.slice(0, 10)).toBe(first!.on);

    // the one bay is closed on the day of the next visit
    const bays = await admin.ok<{ items: { id: string; revision: number }[] }>(
      'get',
      `/v1/workshops/${workshopId}/bays`,
    );
    const [bay] = bays.items;
    await admin.ok('patch', `/v1/bays/${bay!.id}`, {
      body: {
        closures: [
          {
            startsAt: `${second!.on}T00:00:00Z`,
            endsAt: `${addDays(second!.on, 1)}T00:00:00Z`,
            reason: 'floor',
          },
        ],
      },
      ifMatch: `"r${bay!.revision}"`,
    });
    const all = await accepted(one);
    const after = await visitsOf(fresh.id);
    for (const { on, acceptance, refusal, bookingId } of after) {
      expect(acceptance).toBe(on === second!.on ? 'refused' : 'booked');
      expect(refusal === null).toBe(acceptance === 'booked');
      expect(bookingId === null).toBe(acceptance === 'refused');
    }
    expect(all.state).toBe('ready');
    const bookings = await admin.ok<BookingPageDto>('get', `/v1/bookings?workshopId=${workshopId}&limit=500`);
    expect(bookings.items).toHaveLength(after.filter(({ acceptance }) => acceptance === 'booked').length);

    const rest = await planned({ basedOnId: all.id });
    expect(rest.outcome!.booked.itemsDone).toBeGreaterThan(0);
    const remaining = await visitsOf(rest.id);
    expect(remaining.map(({ vehicleId }) => vehicleId).sort()).toEqual(
      after
        .filter(({ acceptance }) => acceptance === 'refused')
        .map(({ vehicleId }) => vehicleId)
        .sort(),
    );
    // a job may run twice, even at once
    const last = await accepted(rest, undefined, 2);
    expect(last.state).toBe('accepted');
    const atLast = await admin.ok<BookingPageDto>('get', `/v1/bookings?workshopId=${workshopId}&limit=500`);
    expect(atLast.items).toHaveLength(bookings.items.length + remaining.length);
  });

  it('has nothing to do for what is booked for before it begins, or after it ends', async () => {
    for (const range of [
      { fromOn: '2027-03-01', days: 60 },
      { fromOn: FROM, days: 7 },
    ]) {
      const later = await planned({ fleetId, ...range });
      expect([later.state, await visitsOf(later.id), await itemsOf(later.id)]).toEqual(['ready', [], []]);
    }
  });
});

it('fails with the reason where its days are over before it is made', async () => {
  const body = { fleetId, days: 7 };
  const { id } = await admin.ok<DowntimePlanDto>('post', '/v1/downtime-plans', { body });
  test.setNow(Date.parse('2027-01-15T12:00:00Z'));
  await runner().run(operator.organisationId, id);
  test.setNow(TEST_NOW);
  const { state, failure, outcome } = await read(id);
  expect([state, outcome]).toEqual(['failed', null]);
  expect(failure).toContain('does not end after it starts');
});

it('refuses what cannot be planned, naming field and remedy', async () => {
  const refusal = async (body: object) =>
    (await admin.call<Refusal>('post', '/v1/downtime-plans', { body })).body.errors?.map(
      ({ pointer }) => pointer,
    );
  expect(await refusal({})).toEqual(['#/fleetId']);
  expect(await refusal({ fleetId, depotIds: [fleetId] })).toEqual(['#/depotIds/0']);
  expect(await refusal({ fleetId, fromOn: '2026-11-24' })).toEqual(['#/fromOn']);
  expect(await refusal({ fleetId, assumptions: [{ kind: 'roster-need', depotId }] })).toEqual([
    '#/assumptions/0/change',
  ]);
  const wishes = { forbidden: [{ vehicleId: vehicleIds[0], on: '2028-01-01' }] };
  expect(await refusal({ fleetId, wishes })).toEqual(['#/wishes/forbidden/0/on']);
});
