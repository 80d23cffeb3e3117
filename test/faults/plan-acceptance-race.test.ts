import { setTimeout as sleep } from 'node:timers/promises';
import { addDays, addMonths } from '../../src/core/shared/calendar-date';
import type { BookingDto } from '../../src/modules/bookings/dto/booking.dto';
import type { DowntimePlanDto } from '../../src/modules/downtime-plans/dto/downtime-plan.dto';
import type { PlannedItemDto, PlannedVisitDto } from '../../src/modules/downtime-plans/dto/planned-visit.dto';
import { DeskClient } from '../support/desk-client';
import { faultsOfDiary } from '../support/diary-check';
import { publishProgramme } from '../support/publish-programme';
import { soakOr } from '../support/soak';
import { TwoApiProcesses } from '../support/two-api-processes';
import { makeWorkshop, type WorkshopWorld } from '../support/workshop-world';

jest.setTimeout(soakOr(1_800_000, 300_000));

const CLIENTS = 8;
/** Each comes into the workshop once or more. */
const VEHICLES = soakOr(200, 30);
const DAYS = soakOr(70, 28);
const WORKSHOPS = soakOr(3, 2);
/** How often both processes are killed while the plan is accepted. */
const KILLS = soakOr(3, 0);
const MOST_AT_ONCE = soakOr(12, 6);

const BY_THE_WAY: Readonly<Record<string, string[]>> = { 'fluid-change': ['filter-clean'] };
const RULES = [
  { code: 'fluid-change', everyMonths: 24, labourMinutes: 90, satisfies: BY_THE_WAY['fluid-change'] },
  { code: 'filter-clean', everyMonths: 24, labourMinutes: 25 },
  { code: 'brake-reserve-check', everyMonths: 25, labourMinutes: 60, safetyCritical: true },
].map((rule) => ({
  ...rule,
  task: rule.code,
  tolerance: { earlyDays: 10, lateDays: 5 },
  competences: ['hydraulics'],
}));
const OPENING = [1, 2, 3, 4, 5].map((weekday) => ({ weekday, windows: [{ from: '08:00', until: '16:00' }] }));

let two: TwoApiProcesses;
let workshops: WorkshopWorld[];
let fleetId: string;

beforeAll(async () => {
  two = await TwoApiProcesses.start('Tarn Valley');
  await publishProgramme(two, RULES);
  workshops = [];
  for (let at = 0; at < WORKSHOPS; at++)
    workshops.push(await makeWorkshop(two, { bays: 1, technicians: 1, vehicles: 0, hours: OPENING }));
  const idOf = async (path: string, body: object): Promise<string> =>
    (await two.made<{ id: string }>(path, body)).id;
  fleetId = await idOf('/v1/fleets', { name: 'Tarn Valley Patient Transport' });
  const depotId = await idOf('/v1/depots', { fleetId, name: 'Lower Tarn', zone: 'Europe/London' });
  const today = new Date().toISOString().slice(0, 10);
  for (let n = 0; n < VEHICLES; n++)
    await idOf('/v1/vehicles', {
      depotId,
      registrationMark: `PLN ${100 + n}`,
      dutyClass: 'normal',
      odometerUnit: 'km',
      inServiceOn: addMonths(addDays(today, 4 + Math.floor((n * (DAYS - 8)) / VEHICLES)), -24),
    });
});
afterAll(() => two.stop());

const everyBooking = (): Promise<BookingDto[]> => two.all('/v1/bookings');
const visitsOf = (planId: string): Promise<PlannedVisitDto[]> =>
  two.all(`/v1/downtime-plans/${planId}/visits`);
const itemsOf = (planId: string): Promise<PlannedItemDto[]> => two.all(`/v1/downtime-plans/${planId}/items`);
const isLive = ({ state }: BookingDto): boolean => ['confirmed', 'arrived', 'in-work'].includes(state);
const workOf = (vehicleId: string, key: string, cycle: string): string => `${vehicleId} ${key} ${cycle}`;

/** Reads a plan until it is in none of the states. A process that is just being started again does not answer. */
async function planAfter(planId: string, ...states: DowntimePlanDto['state'][]): Promise<DowntimePlanDto> {
  for (;;) {
    const plan = await two.send<DowntimePlanDto>(0, 'GET', `/v1/downtime-plans/${planId}`).catch(() => null);
    if (plan?.status === 200 && !states.includes(plan.body.state)) return plan.body;
    await sleep(100);
  }
}

async function planned(body: object): Promise<DowntimePlanDto> {
  const { status, body: started } = await two.send<DowntimePlanDto>(1, 'POST', '/v1/downtime-plans', body);
  expect(status).toBe(202);
  return planAfter(started.id, 'queued', 'running');
}

async function accept({ id, revision }: DowntimePlanDto): Promise<void> {
  const path = `/v1/downtime-plans/${id}/acceptance`;
  const { status } = await two.send(0, 'POST', path, {}, { 'if-match': `"r${revision}"` });
  expect(status).toBe(202);
}

/** What the plan says about its visits, held against the diary. */
function faultsOfAcceptance(
  plan: DowntimePlanDto,
  visits: readonly PlannedVisitDto[],
  bookings: readonly BookingDto[],
): string[] {
  const byId = new Map(bookings.map((booking) => [booking.id, booking]));
  const faults = visits.flatMap((visit): string[] => {
    const name = `visit of ${visit.registrationMark} on ${visit.on}`;
    if (visit.acceptance === 'refused')
      return visit.bookingId === null && (visit.refusal ?? '') !== '' ? [] : [`${name}: refused, but how?`];
    const booking = byId.get(visit.bookingId ?? '');
    if (visit.acceptance !== 'booked' || visit.refusal !== null || booking === undefined)
      return [`${name} is ${visit.acceptance} with booking ${visit.bookingId ?? 'none'}`];
    const wrong: string[] = [];
    if (!isLive(booking)) wrong.push(booking.state);
    if (booking.vehicleId !== visit.vehicleId) wrong.push('of another vehicle');
    if (booking.workshopId !== visit.workshopId) wrong.push('at another workshop');
    if (booking.startsAt.slice(0, 10) !== visit.on) wrong.push(`on ${booking.startsAt}`);
    const wanted = visit.items.map((item) => workOf(visit.vehicleId, item.dueItemKey, item.cycle));
    const done = booking.items.map((item) => workOf(visit.vehicleId, item.dueItemKey, item.cycle));
    const settled = booking.items.flatMap(({ task }) => BY_THE_WAY[task] ?? []);
    if (!done.every((work) => wanted.includes(work))) wrong.push('with other work');
    const isMissing = ({ dueItemKey, cycle, task }: PlannedItemDto): boolean =>
      !done.includes(workOf(visit.vehicleId, dueItemKey, cycle)) && !settled.includes(task);
    if (visit.items.some(isMissing)) wrong.push('with less work');
    return wrong.map((what) => `${name} is booked ${what}`);
  });
  // a booking without its visit would be the other half
  const booked = visits.map(({ bookingId }) => bookingId);
  const note = `Downtime plan "${plan.name}"`;
  for (const booking of bookings)
    if (booking.note === note && !booked.includes(booking.id))
      faults.push(`booking ${booking.id} is of no visit`);
  return faults;
}

/** Pieces of work that two bookings are to do. */
function workBookedTwice(bookings: readonly BookingDto[]): string[] {
  const all = bookings
    .filter(isLive)
    .flatMap(({ vehicleId, items }) => items.map((item) => workOf(vehicleId, item.dueItemKey, item.cycle)));
  return all.filter((work, at) => all.indexOf(work) !== at);
}

it(`a plan of ${VEHICLES} vehicles is accepted while ${CLIENTS} clients book into its workshops, and what is left is planned again`, async () => {
  const name = 'Under contention';
  const plan = await planned({ fleetId, name, days: DAYS, effort: 'quick' });
  expect([plan.state, plan.failure]).toEqual(['ready', null]);
  const visits = await visitsOf(plan.id);
  expect(visits.length).toBeGreaterThanOrEqual(VEHICLES);

  // one vehicle is somewhere else all day, and of another one the work is done on another day
  const away = visits[0] as PlannedVisitDto;
  const earlier = visits.findLast(({ items }) =>
    items.some(({ task }) => task === 'fluid-change'),
  ) as PlannedVisitDto;
  const elsewhere = await two.made<BookingDto>('/v1/bookings', {
    vehicleId: away.vehicleId,
    workshopId: (await makeWorkshop(two, { bays: 1, technicians: 1, vehicles: 0 })).workshopId,
    startsAt: `${away.on}T04:00:00Z`,
    dueItemKeys: [],
    extraWork: [{ title: 'Mend the stretcher lift', minutes: 16 * 60 }],
  });
  const done = await two.made<BookingDto>('/v1/bookings', {
    vehicleId: earlier.vehicleId,
    workshopId: elsewhere.workshopId,
    startsAt: `${addDays(earlier.on, 1)}T09:00:00Z`,
    dueItemKeys: ['fluid-change'],
  });

  const customers: string[] = [];
  const customersFleet = await two.made<{ id: string }>('/v1/fleets', { name: 'Customers' });
  const { id: depotId } = await two.made<{ id: string }>('/v1/depots', {
    fleetId: customersFleet.id,
    name: 'Elsewhere',
    zone: 'Europe/London',
  });
  for (let n = 0; n < 3 * CLIENTS; n++) {
    const body = { depotId, registrationMark: `CUS ${100 + n}`, dutyClass: 'normal', odometerUnit: 'km' };
    customers.push((await two.made<{ id: string }>('/v1/vehicles', body)).id);
  }
  let isOver = false;
  const desk = Array.from(
    { length: CLIENTS },
    (_, at) => new DeskClient(two, at, customers, visits, MOST_AT_ONCE),
  );
  const work = desk.map(async (client) => {
    while (!isOver) await client.step();
  });
  await accept(plan);
  for (let kill = 0; kill < KILLS; kill++) {
    await sleep(1_500);
    await Promise.all([two.killAndRestart(0), two.killAndRestart(1)]);
  }
  const accepted = await planAfter(plan.id, 'accepting');
  isOver = true;
  await Promise.all(work);

  const bookings = await everyBooking();
  const after = await visitsOf(plan.id);
  expect(faultsOfAcceptance(plan, after, bookings)).toEqual([]);
  expect(faultsOfDiary(bookings, [elsewhere.id, done.id])).toEqual([]);
  expect(workBookedTwice(bookings)).toEqual([]);
  const refused = after.filter(({ acceptance }) => acceptance === 'refused');
  expect(refused.map(({ id }) => id)).toEqual(expect.arrayContaining([away.id, earlier.id]));
  expect(accepted.state).toBe('ready');

  const rest = await planned({ basedOnId: plan.id, name: 'What is left' });
  expect([rest.state, rest.failure]).toEqual(['ready', null]);
  await accept(rest);
  await planAfter(rest.id, 'accepting');
  const inTheEnd = await everyBooking();
  const restVisits = await visitsOf(rest.id);
  expect(faultsOfAcceptance(rest, restVisits, inTheEnd)).toEqual([]);
  expect(
    faultsOfDiary(
      inTheEnd,
      bookings.filter(isLive).map(({ id }) => id),
    ),
  ).toEqual([]);
  expect(workBookedTwice(inTheEnd)).toEqual([]);

  // every piece of work is booked, settled by what is booked, or it is told why not
  const settled = new Set(
    inTheEnd
      .filter(isLive)
      .flatMap(({ vehicleId, items }) =>
        items.flatMap(({ task }) =>
          [task, ...(BY_THE_WAY[task] ?? [])].map((each) => `${vehicleId} ${each}`),
        ),
      ),
  );
  const told = new Map<string, string>();
  for (const visit of restVisits)
    for (const { vehicleId, task } of visit.items) told.set(`${vehicleId} ${task}`, visit.refusal ?? '');
  for (const { vehicleId, task, plannedOn, because } of await itemsOf(rest.id))
    if (plannedOn === null) told.set(`${vehicleId} ${task}`, because);
  const all = (await itemsOf(plan.id)).map(({ vehicleId, task }) => `${vehicleId} ${task}`);
  expect(all.filter((each) => !settled.has(each) && (told.get(each) ?? '') === '')).toEqual([]);

  const statuses = new Map<string, number>();
  for (const client of desk)
    for (const [key, count] of client.statuses) statuses.set(key, (statuses.get(key) ?? 0) + count);
  const isExpected = (key: string): boolean =>
    / (200|201|409)$/.test(key) || (KILLS > 0 && / (404|412|unanswered)$/.test(key));
  expect([...statuses.keys()].filter((key) => !isExpected(key))).toEqual([]);
  for (const key of ['book 201', 'book 409', 'move 200', 'cancel 200'])
    expect(statuses.get(key)).toBeGreaterThan(0);
  console.log(
    JSON.stringify({
      visits: visits.length,
      refused: refused.length,
      refusals: [...new Set(refused.map(({ refusal }) => refusal))],
      plannedAgain: restVisits.length,
      refusedAgain: restVisits.filter(({ acceptance }) => acceptance === 'refused').length,
      desk: Object.fromEntries([...statuses].sort()),
    }),
  );
});
