import type { RuleOptions } from '../../src/core/due/rule';
import type { BookingDto, BookingPageDto } from '../../src/modules/bookings/dto/booking.dto';
import type { FreeTimeDto, FreeTimesDto } from '../../src/modules/bookings/dto/free-times.dto';
import { BookingStepsService } from '../../src/modules/bookings/booking-steps.service';
import type { ApiClient, Refusal } from '../support/api-client';
import { Operator } from '../support/operator';
import { startTestApp, TEST_NOW, type TestApp } from '../support/test-app';

const SOURCE = { source: 'made for the test' };
const FLUID: RuleOptions = {
  code: 'fluid-change',
  task: 'fluid-change',
  title: 'Change the fluid',
  everyMonths: 24,
  tolerance: { earlyDays: 30, lateDays: 14 },
  labourMinutes: 90,
  competences: ['hydraulics'],
  bayKind: 'lift',
  consumables: [{ item: 'mineral-fluid', quantity: 5, unit: 'l' }],
  ...SOURCE,
};
const FILTER: RuleOptions = {
  code: 'filter-clean',
  task: 'filter-clean',
  title: 'Clean the filter',
  everyMonths: 24,
  labourMinutes: 25,
  competences: ['hydraulics'],
  bayKind: 'flat',
  ...SOURCE,
};
const RESERVE: RuleOptions = {
  code: 'brake-reserve-check',
  task: 'brake-reserve-check',
  title: 'Check the brake reserve',
  everyMonths: 25,
  safetyCritical: true,
  competences: ['brakes'],
  bayKind: 'flat',
  ...SOURCE,
};

// Wednesday is the day of the tests; the workshop is in Europe/London, which has UTC then
const OPENING = [1, 2, 3, 4, 5].map((weekday) => ({
  weekday,
  windows: [
    { from: '08:00', until: '12:00' },
    { from: '13:00', until: '17:00' },
  ],
}));

let test: TestApp;
let operator: Operator;
let admin: ApiClient;
let depotId: string;
let workshopId: string;
let lift: string;
let flat: string;
let hydraulics: string;
let brakes: string;

beforeAll(async () => {
  test = await startTestApp();
  operator = await Operator.of(test, 'Tarn Valley Patient Transport');
  admin = operator.admin;
  await operator.follows([FLUID, FILTER, RESERVE]);
  depotId = await operator.depot(await operator.fleet('patient transport'), 'Upper Tarn');
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
  lift = await add(`/v1/workshops/${workshopId}/bays`, { name: 'Lift', kinds: ['lift', 'flat'] });
  flat = await add(`/v1/workshops/${workshopId}/bays`, { name: 'Flat', kinds: ['flat'] });
  const person = (name: string, competences: string[]): Promise<string> =>
    add(`/v1/workshops/${workshopId}/technicians`, {
      name,
      competences: competences.map((code) => ({ code })),
      shifts: OPENING,
    });
  hydraulics = await person('Alder', ['hydraulics', 'brakes']);
  brakes = await person('Birch', ['brakes']);
});
afterAll(() => test.close());
beforeEach(() => test.setNow(TEST_NOW));

let marks = 100;
/** Due on the day of the tests, but for the brake reserve, which is due a month later. */
const dueVehicle = () => operator.vehicle(depotId, `TVP ${(marks += 1)}`, { inServiceOn: '2024-11-25' });
const extra = (minutes: number, more: object = {}) => ({
  dueItemKeys: [],
  extraWork: [{ title: 'Look it over', minutes, ...more }],
});

const freeTimes = (body: object, client = admin) =>
  client.ok<FreeTimesDto>('post', '/v1/free-times', { body: { workshopIds: [workshopId], ...body } });
const book = (body: object, client = admin) =>
  client.call<BookingDto & Refusal & { freeTimes: FreeTimeDto[] }>('post', '/v1/bookings', {
    body: { workshopId, ...body },
  });
const booked = async (body: object): Promise<BookingDto> => {
  const { status, body: answer } = await book(body);
  if (status !== 201) throw new Error(JSON.stringify(answer));
  return answer;
};
const step = (booking: BookingDto, name: string, body?: object, client = admin) =>
  client.call<BookingDto & Refusal>('post', `/v1/bookings/${booking.id}/${name}`, {
    ...(body === undefined ? {} : { body }),
    ifMatch: `"r${booking.revision}"`,
  });
const change = (booking: BookingDto, body: object) =>
  admin.call<BookingDto & Refusal & { freeTimes: FreeTimeDto[] }>('patch', `/v1/bookings/${booking.id}`, {
    body,
    ifMatch: `"r${booking.revision}"`,
  });
const letTimePass = (booking: BookingDto) =>
  operator.sql(
    `WITH held AS (UPDATE booking_allocations SET held_until = clock_timestamp() - interval '1 second' WHERE booking_id = $1)
      UPDATE bookings SET provisional_until = clock_timestamp() - interval '1 second' WHERE id = $1`,
    [booking.id],
  );

describe('the call', () => {
  it('hears what is due, how long it takes, and the first times', async () => {
    const vehicleId = await dueVehicle();
    const answer = await freeTimes({ vehicleId });
    expect(answer.items.map(({ task, minutes, minutesAssumed }) => [task, minutes, minutesAssumed])).toEqual([
      ['filter-clean', 25, false],
      ['fluid-change', 90, false],
    ]);
    expect(answer.job).toEqual({
      workMinutes: 115,
      bayKinds: ['flat', 'lift'],
      competences: [['hydraulics']],
      consumables: [{ item: 'mineral-fluid', quantity: 5, unit: 'l' }],
    });
    // 12:00 is the break; the bay is taken ten minutes before the work
    expect(answer.freeTimes.map(({ inWords }) => inWords)).toEqual([
      'Wed 25 Nov 2026, 13:00 to 14:55',
      'Wed 25 Nov 2026, 13:15 to 15:10',
      'Wed 25 Nov 2026, 13:30 to 15:25',
      'Wed 25 Nov 2026, 13:45 to 15:40',
      'Wed 25 Nov 2026, 14:00 to 15:55',
    ]);
    expect(answer.freeTimes[0]).toMatchObject({
      workshopName: 'Upper Tarn workshop',
      bayName: 'Lift',
      technicians: [{ id: hydraulics, name: 'Alder' }],
      bayFromAt: '2026-11-25T12:50:00.000Z',
      bayUntilAt: '2026-11-25T15:00:00.000Z',
    });
    expect(answer.nothingFree).toBeNull();
  });

  it('counts work that comes along with other work once', async () => {
    const rules = await Operator.of(test, 'An operator whose fluid change cleans the filter');
    await rules.follows([{ ...FLUID, satisfies: ['filter-clean'] }, FILTER]);
    const depot = await rules.depot(await rules.fleet('patient transport'), 'Lower Tarn');
    const vehicleId = await rules.vehicle(depot, 'TVP 900', { inServiceOn: '2024-11-25' });
    const body = { vehicleId };
    const answer = await rules.admin.ok<FreeTimesDto>('post', '/v1/free-times', { body });
    expect(answer.items.map(({ task }) => task)).toEqual(['fluid-change']);
    expect(answer.suggestions).toEqual([]);
    // an operator without a workshop hears that nothing is open
    expect([answer.freeTimes, answer.nothingFree?.scarcest]).toEqual([[], 'opening']);
  });

  it('hears what else is worth doing, with what it gives away and saves', async () => {
    const answer = await freeTimes({ vehicleId: await dueVehicle() });
    expect(answer.suggestions).toMatchObject([
      {
        task: 'brake-reserve-check',
        dueOn: '2026-12-25',
        daysGivenAway: 30,
        visitsSaved: 1,
        worthwhile: true,
        minutes: 30,
      },
    ]);
    expect(answer.suggestions[0]?.shareGivenAway).toBeCloseTo(30 / 760, 6);
    expect(answer.suggestions[0]?.sentence).toContain('30');
  });

  it('hears what is in the way where nothing is free, and when it would fit', async () => {
    const vehicleId = await dueVehicle();
    const answer = await freeTimes({ vehicleId, ...extra(60, { competences: ['welding'] }) });
    expect(answer.freeTimes).toEqual([]);
    expect(answer.nothingFree).toMatchObject({
      scarcest: 'competence',
      sentence: expect.stringContaining('welding') as string,
      firstFit: null,
    });
    const tooLong = await freeTimes({ vehicleId, ...extra(600) });
    expect(tooLong.nothingFree).toMatchObject({ scarcest: 'job-length' });
    expect(tooLong.nothingFree?.sentence).toContain('480 minutes would fit');
  });

  it('is refused with the field and a remedy where the question is wrong', async () => {
    const vehicleId = await dueVehicle();
    const ask = (body: object) => admin.refused('post', '/v1/free-times', { body: { vehicleId, ...body } });
    expect(await ask({ dueItemKeys: ['no-such-rule'] })).toEqual([422, '#/dueItemKeys/0']);
    expect(await ask({ dueItemKeys: [] })).toEqual([422, '#/dueItemKeys']);
    expect(await ask({ fromAt: '2026-12-01T00:00:00Z', untilAt: '2026-11-30T00:00:00Z' })).toEqual([
      422,
      '#/untilAt',
    ]);
    expect(await ask({ untilAt: '2028-11-30T00:00:00Z' })).toEqual([422, '#/untilAt']);
    expect(await ask({ workshopIds: ['019ac1f2-7a30-7b61-a0c3-5f1d0e6f2b11'] })).toEqual([
      422,
      '#/workshopIds/0',
    ]);
  });
});

describe('a booking', () => {
  it('is held for the caller, confirmed, and shows in the diary of workshop and vehicle', async () => {
    const vehicleId = await dueVehicle();
    const [first] = (await freeTimes({ vehicleId, fromAt: '2026-12-01T00:00:00Z' })).freeTimes;
    const held = await booked({ vehicleId, startsAt: first?.startsAt, holdMinutes: 15, contact: 'ward 7' });
    expect(held).toMatchObject({
      state: 'provisional',
      nextSteps: ['confirm', 'cancel'],
      startsAt: '2026-12-01T08:00:00.000Z',
      bayId: lift,
      technicianIds: [hydraulics],
      workMinutes: 115,
      contact: 'ward 7',
    });
    expect(Date.parse(held.provisionalUntil ?? '') - Date.now()).toBeGreaterThan(14 * 60_000);
    const { status, body: firm } = await step(held, 'confirmation');
    expect([status, firm.state, firm.revision]).toEqual([200, 'confirmed', 2]);
    expect((await step(held, 'confirmation')).status).toBe(412);
    expect((await step(firm, 'confirmation')).body.detail).toContain('The booking is confirmed');

    const day = 'fromAt=2026-12-01T00:00:00Z&untilAt=2026-12-02T00:00:00Z';
    for (const query of [
      `workshopId=${workshopId}&${day}`,
      `vehicleId=${vehicleId}`,
      `technicianId=${hydraulics}&${day}`,
      `bayId=${lift}&${day}&state=confirmed`,
    ]) {
      const { items } = await admin.ok<BookingPageDto>('get', `/v1/bookings?${query}`);
      expect(items.map(({ id }) => id)).toEqual([held.id]);
    }
    const actions = await operator.sql<{ action: string; sequence: string; xid: string }>(
      `SELECT action, sequence, xid FROM audit_entries WHERE subject_id = $1 ORDER BY xid, sequence`,
      [held.id],
    );
    expect(actions.map(({ action }) => action)).toEqual(['booked', 'confirmed']);
  });

  it('cannot have what is taken: it is told what is in the way and when else', async () => {
    const startsAt = '2026-12-02T09:00:00.000Z';
    await booked({
      vehicleId: await dueVehicle(),
      startsAt,
      bayId: lift,
      technicianIds: [hydraulics],
      ...extra(60),
    });
    const vehicleId = await dueVehicle();
    const { status, body } = await book({
      vehicleId,
      startsAt: '2026-12-02T09:30:00Z',
      bayId: lift,
      technicianIds: [hydraulics],
      ...extra(60),
    });
    expect([status, body.type]).toEqual([409, '/problems/slot-taken']);
    expect(body.detail).toContain('Lift');
    expect(body.detail).toContain('Alder');
    expect(body.freeTimes).toHaveLength(5);
    // the other bay and the other person are free then
    expect(body.freeTimes[0]?.inWords).toBe('Wed 2 Dec 2026, 09:30 to 10:30');
    const free = body.freeTimes[0];
    expect((await book({ vehicleId, startsAt: free?.startsAt, ...extra(60) })).body).toMatchObject({
      bayId: flat,
      technicianIds: [brakes],
    });
  });

  it('is for one place at a time: a vehicle is not in two bays', async () => {
    const vehicleId = await dueVehicle();
    const startsAt = '2026-12-03T09:00:00.000Z';
    await booked({ vehicleId, startsAt, bayId: lift, technicianIds: [hydraulics], ...extra(60) });
    const { status, body } = await book({
      vehicleId,
      startsAt,
      bayId: flat,
      technicianIds: [brakes],
      ...extra(60),
    });
    expect(status).toBe(409);
    expect(body.detail).toMatch(/vehicle/i);
  });

  it('is refused outside hours, without the competence, in the wrong bay, with the reason', async () => {
    const vehicleId = await dueVehicle();
    const reason = async (body: object): Promise<string> => {
      const { status, body: answer } = await book({
        vehicleId,
        bayId: lift,
        technicianIds: [hydraulics],
        ...body,
      });
      expect(status).toBe(409);
      return answer.detail;
    };
    expect(await reason({ startsAt: '2026-12-05T09:00:00Z', ...extra(60) })).toMatch(/shut|closed|open/i);
    expect(
      await reason({
        startsAt: '2026-12-04T09:00:00Z',
        technicianIds: [brakes],
        ...extra(60, { competences: ['hydraulics'] }),
      }),
    ).toContain('hydraulics');
    expect(
      await reason({ startsAt: '2026-12-04T09:00:00Z', bayId: flat, ...extra(60, { bayKind: 'lift' }) }),
    ).toContain('lift');
  });

  it('names the field of what cannot be', async () => {
    const vehicleId = await dueVehicle();
    const ask = (body: object) =>
      admin.refused('post', '/v1/bookings', { body: { vehicleId, workshopId, ...extra(60), ...body } });
    expect(await ask({ startsAt: '2026-11-20T09:00:00Z' })).toEqual([422, '#/startsAt']);
    expect(await ask({ startsAt: '2026-12-04T09:00:30Z' })).toEqual([422, '#/startsAt']);
    expect(await ask({ startsAt: '2029-12-04T09:00:00Z' })).toEqual([422, '#/startsAt']);
    const unknown = '019ac1f2-7a30-7b61-a0c3-5f1d0e6f2b11';
    const startsAt = '2026-12-04T09:00:00Z';
    expect(await ask({ startsAt, bayId: unknown, technicianIds: [brakes] })).toEqual([422, '#/bayId']);
    expect(await ask({ startsAt, bayId: lift, technicianIds: [unknown] })).toEqual([
      422,
      '#/technicianIds/0',
    ]);
    expect(await ask({ startsAt, workshopId: unknown })).toEqual([422, '#/workshopId']);
  });

  it('is made once, however often the request comes', async () => {
    const vehicleId = await dueVehicle();
    const body = { vehicleId, workshopId, startsAt: '2026-12-07T09:00:00Z', ...extra(60) };
    const ask = () => admin.call<BookingDto>('post', '/v1/bookings', { body, idempotencyKey: 'caller-1' });
    const [one, two] = [await ask(), await ask()];
    expect([one.status, two.status]).toEqual([201, 201]);
    expect(two.body).toEqual(one.body);
    expect((await admin.ok<BookingPageDto>('get', `/v1/bookings?vehicleId=${vehicleId}`)).items).toHaveLength(
      1,
    );
    const keyed = { externalKey: 'CALL-7', startsAt: '2026-12-07T11:00:00Z', ...extra(30) };
    await booked({ vehicleId, ...keyed });
    const again = await book({ vehicleId, ...keyed, startsAt: '2026-12-07T15:00:00Z' });
    expect([again.status, again.body.type]).toEqual([409, '/problems/already-exists']);
  });
});

describe('a hold', () => {
  it('runs out by the clock of the database: then somebody else may have the time', async () => {
    const startsAt = '2026-12-08T09:00:00.000Z';
    const place = { startsAt, bayId: lift, technicianIds: [hydraulics], ...extra(60) };
    const held = await booked({ vehicleId: await dueVehicle(), ...place, holdMinutes: 5 });
    expect((await book({ vehicleId: await dueVehicle(), ...place })).status).toBe(409);
    await letTimePass(held);
    const lapsed = await admin.ok<BookingDto>('get', `/v1/bookings/${held.id}`);
    expect([lapsed.state, lapsed.nextSteps]).toEqual(['lapsed', []]);
    const { status, body } = await step(held, 'confirmation');
    expect([status, body.type]).toEqual([409, '/problems/state-conflict']);
    expect(body.detail).toContain('held until');
    expect((await change(held, { note: 'x' })).status).toBe(409);

    const free = await freeTimes({ vehicleId: await dueVehicle(), fromAt: startsAt, count: 1, ...extra(60) });
    expect(free.freeTimes[0]?.startsAt).toBe(startsAt);
    await booked({ vehicleId: await dueVehicle(), ...place });

    await test.app.get(BookingStepsService).lapse(operator.organisationId, held.id);
    const states = await operator.sql(`SELECT state, closed_reason FROM bookings WHERE id = $1`, [held.id]);
    expect(states).toEqual([{ state: 'lapsed', closed_reason: 'nobody confirmed it in time' }]);
    // the job comes late for one that was confirmed
    const kept = await booked({
      vehicleId: await dueVehicle(),
      startsAt: '2026-12-08T14:00:00Z',
      holdMinutes: 5,
      ...extra(30),
    });
    await step(kept, 'confirmation');
    await test.app.get(BookingStepsService).lapse(operator.organisationId, kept.id);
    expect((await admin.ok<BookingDto>('get', `/v1/bookings/${kept.id}`)).state).toBe('confirmed');
  });
});

describe('a change', () => {
  it('moves a booking and keeps bay and people where they are free, or says who else does it', async () => {
    const booking = await booked({
      vehicleId: await dueVehicle(),
      startsAt: '2026-12-09T09:00:00Z',
      bayId: flat,
      technicianIds: [brakes],
      ...extra(60),
    });
    const { status, body: moved } = await change(booking, { startsAt: '2026-12-09T10:30:00Z' });
    expect([status, moved.startsAt, moved.bayId, moved.technicianIds]).toEqual([
      200,
      '2026-12-09T10:30:00.000Z',
      flat,
      [brakes],
    ]);
    const other = await booked({
      vehicleId: await dueVehicle(),
      startsAt: '2026-12-09T13:00:00Z',
      bayId: flat,
      technicianIds: [brakes],
      ...extra(60),
    });
    const { body: elsewhere } = await change(moved, { startsAt: other.startsAt });
    expect([elsewhere.bayId, elsewhere.technicianIds]).toEqual([lift, [hydraulics]]);
    // its old time is free again
    await booked({
      vehicleId: await dueVehicle(),
      startsAt: moved.startsAt,
      bayId: flat,
      technicianIds: [brakes],
      ...extra(60),
    });
    const { status: refused, body } = await change(elsewhere, { bayId: flat, technicianIds: [brakes] });
    expect(refused).toBe(409);
    expect(body.freeTimes).toHaveLength(5);
    expect((await admin.ok<BookingDto>('get', `/v1/bookings/${elsewhere.id}`)).revision).toBe(
      elsewhere.revision,
    );
  });

  it('makes a job longer in its own place, and takes on other work', async () => {
    const vehicleId = await dueVehicle();
    const booking = await booked({ vehicleId, startsAt: '2026-12-10T09:00:00Z', ...extra(60) });
    const { body: longer } = await change(booking, { workMinutes: 90 });
    expect([longer.workMinutes, longer.endsAt]).toEqual([90, '2026-12-10T10:30:00.000Z']);
    const { body: more } = await change(longer, { dueItemKeys: ['fluid-change'] });
    expect(more).toMatchObject({ workMinutes: 150, bayId: lift, technicianIds: [hydraulics] });
    expect(more.items.map(({ dueItemKey }) => dueItemKey)).toEqual(['fluid-change']);
    const { body: noted } = await change(more, { note: 'bring the ramp key', contact: null });
    expect([noted.note, noted.endsAt]).toEqual(['bring the ramp key', more.endsAt]);
  });

  it('leaves workshop and start alone once the vehicle is there', async () => {
    const booking = await booked({
      vehicleId: await dueVehicle(),
      startsAt: '2026-12-11T09:00:00Z',
      bayId: flat,
      technicianIds: [brakes],
      ...extra(60),
    });
    const { body: arrived } = await step(booking, 'arrival', {});
    const refused = await change(arrived, { startsAt: '2026-12-11T10:00:00Z' });
    expect([refused.status, refused.body.type]).toEqual([409, '/problems/state-conflict']);
    const { body: swapped } = await change(arrived, { bayId: lift, technicianIds: [hydraulics] });
    expect([swapped.bayId, swapped.startsAt]).toEqual([lift, booking.startsAt]);
  });
});

describe('the day', () => {
  it('goes from arrival to work, in order, with moments that can be', async () => {
    const booking = await booked({
      vehicleId: await dueVehicle(),
      startsAt: '2026-12-14T09:00:00Z',
      ...extra(60),
    });
    test.setNow(Date.parse('2026-12-14T09:30:00Z'));
    expect((await step(booking, 'work-start', {})).body.detail).toContain('only one that is arrived');
    const future = await step(booking, 'arrival', { at: '2026-12-14T10:00:00Z' });
    expect([future.status, future.body.errors?.[0]?.pointer]).toEqual([422, '#/at']);
    const { body: arrived } = await step(booking, 'arrival', { at: '2026-12-14T08:50:00Z' });
    expect([arrived.state, arrived.arrivedAt]).toEqual(['arrived', '2026-12-14T08:50:00.000Z']);
    const early = await step(arrived, 'work-start', { at: '2026-12-14T08:40:00Z' });
    expect(early.body.errors?.[0]?.pointer).toBe('#/at');
    const { body: started } = await step(arrived, 'work-start', {});
    expect([started.state, started.workStartedAt]).toEqual(['in-work', '2026-12-14T09:30:00.000Z']);
    expect((await step(started, 'cancellation', { reason: 'no' })).status).toBe(409);
    expect((await step(started, 'collection', {})).status).toBe(409);
  });

  it('is cancelled or missed, and its time is free again', async () => {
    const place = { bayId: lift, technicianIds: [hydraulics], ...extra(60) };
    const first = await booked({ vehicleId: await dueVehicle(), startsAt: '2026-12-15T09:00:00Z', ...place });
    const { body: cancelled } = await step(first, 'cancellation', { reason: 'found another day' });
    expect([cancelled.state, cancelled.closedReason]).toEqual(['cancelled', 'found another day']);
    const second = await booked({
      vehicleId: await dueVehicle(),
      startsAt: '2026-12-15T09:00:00Z',
      ...place,
    });
    expect((await step(second, 'no-show')).body.detail).toContain('missed only after');
    test.setNow(Date.parse('2026-12-15T09:10:00Z'));
    expect((await step(second, 'no-show')).body.state).toBe('missed');
    await booked({ vehicleId: await dueVehicle(), startsAt: '2026-12-15T09:15:00Z', ...place });
  });
});

describe('who may', () => {
  it('technicians see the diary and take vehicles in; they do not book', async () => {
    const technician = await operator.colleague('technician');
    const vehicleId = await dueVehicle();
    expect(
      (await book({ vehicleId, startsAt: '2026-12-16T09:00:00Z', ...extra(60) }, technician)).status,
    ).toBe(403);
    const booking = await booked({ vehicleId, startsAt: '2026-12-16T09:00:00Z', ...extra(60) });
    expect((await step(booking, 'arrival', {}, technician)).status).toBe(200);
  });

  it('a key for one fleet sees no booking of another, and still none of its free times is taken', async () => {
    const otherDepot = await operator.depot(await operator.fleet('school runs'), 'Lower Tarn');
    const fleetId = (
      await operator.sql<{ fleet_id: string }>('SELECT fleet_id FROM depots WHERE id = $1', [otherDepot])
    )[0]!.fleet_id;
    const planner = await operator.colleague('fleet-planner', [fleetId]);
    const foreign = await booked({
      vehicleId: await dueVehicle(),
      startsAt: '2026-12-17T08:00:00Z',
      bayId: lift,
      technicianIds: [hydraulics],
      ...extra(240),
    });
    expect((await planner.call('get', `/v1/bookings/${foreign.id}`)).status).toBe(404);
    expect((await planner.ok<BookingPageDto>('get', '/v1/bookings')).items).toEqual([]);
    const own = await operator.vehicle(otherDepot, `TVP ${(marks += 1)}`, { inServiceOn: '2024-11-25' });
    const answer = await freeTimes(
      {
        vehicleId: own,
        fromAt: '2026-12-17T00:00:00Z',
        count: 1,
        ...extra(60, { competences: ['hydraulics'] }),
      },
      planner,
    );
    expect(answer.freeTimes[0]?.startsAt).toBe('2026-12-17T13:00:00.000Z');
    const taken = await book(
      {
        vehicleId: own,
        startsAt: '2026-12-17T09:00:00Z',
        bayId: lift,
        technicianIds: [hydraulics],
        ...extra(60),
      },
      planner,
    );
    expect(taken.status).toBe(409);
  });
});
