import type { RuleOptions } from '../../src/core/due/rule';
import type { DowntimePlanDto } from '../../src/modules/downtime-plans/dto/downtime-plan.dto';
import type {
  PlannedItemPageDto,
  PlannedVisitPageDto,
} from '../../src/modules/downtime-plans/dto/planned-visit.dto';
import { DowntimePlanRunnerService } from '../../src/modules/downtime-plans/downtime-plan-runner.service';
import type { Refusal } from '../support/api-client';
import { Operator } from '../support/operator';
import { send } from '../support/send';
import { startTestApp, type TestApp } from '../support/test-app';

const rule = (task: string, competences: string[]): RuleOptions => ({
  code: task,
  task,
  title: `Do the ${task}`,
  everyMonths: 24,
  tolerance: { earlyDays: 30, lateDays: 14 },
  labourMinutes: 60,
  competences,
  source: 'made for the test',
});
const HOURS = [1, 2, 3, 4, 5].map((weekday) => ({ weekday, windows: [{ from: '08:00', until: '16:00' }] }));
/** More than one search for free times takes. */
const WORKSHOPS = 23;

let test: TestApp;
let operator: Operator;
let fleetId: string;
let vehicleIds: string[];
/** In order of their ids; people are at the last one only. */
let workshopIds: string[];

beforeAll(async () => {
  test = await startTestApp();
  operator = await Operator.of(test, 'Tarn Valley Patient Transport');
  await operator.follows([
    rule('fluid-change', ['hydraulics']),
    rule('brake-check', ['brakes', 'hydraulics']),
  ]);
  fleetId = await operator.fleet('patient transport');
  const depotId = await operator.depot(fleetId, 'Upper Tarn');
  vehicleIds = [];
  for (const [at, mark] of ['TVP 1', 'TVP 2'].entries())
    vehicleIds.push(await operator.vehicle(depotId, mark, { inServiceOn: `2024-12-1${at}` }));
  workshopIds = [];
  for (let n = 1; n <= WORKSHOPS; n++)
    workshopIds.push(
      await add('/v1/workshops', { name: `Workshop ${n}`, zone: 'Europe/London', weeklyHours: HOURS }),
    );
  workshopIds.sort();
  const last = `/v1/workshops/${workshopIds.at(-1)}`;
  await add(`${last}/bays`, { name: 'Lift', kinds: ['lift'] });
  for (const [name, code] of [
    ['Alder', 'hydraulics'],
    ['Birch', 'brakes'],
  ] as const)
    await add(`${last}/technicians`, { name, competences: [{ code }], shifts: HOURS });
});
afterAll(() => test.close());

const add = async (path: string, body: object): Promise<string> =>
  (await operator.admin.ok<{ id: string }>('post', path, { body })).id;
const begun = (body: object) =>
  operator.admin.ok<DowntimePlanDto>('post', '/v1/downtime-plans', {
    body: { fleetId, days: 60, effort: 'quick', ...body },
  });
const planned = async (body: object = {}): Promise<DowntimePlanDto> => {
  const { id } = await begun(body);
  await test.app.get(DowntimePlanRunnerService).run(operator.organisationId, id);
  return operator.admin.ok<DowntimePlanDto>('get', `/v1/downtime-plans/${id}`);
};
/** With its headers, or a file as it is. */
const read = (path: string) => send(test, 'GET', path, { key: operator.organisation.administratorKey });
const NOBODY =
  'No technician at any workshop within reach has the competences brakes and hydraulics together.';

it('plans with every workshop where no reach is set, and says which work nobody is competent for', async () => {
  const { id, state, outcome } = await planned();
  expect(state).toBe('ready');
  expect(outcome!.plan).toMatchObject({ itemsDone: 2, itemsLeftOut: 2 });
  expect(outcome!.conflicts.map(({ registrationMark, facts }) => [registrationMark, facts])).toEqual([
    ['TVP 1', [NOBODY]],
    ['TVP 2', [NOBODY]],
  ]);
  const path = `/v1/downtime-plans/${id}`;
  const visits = await operator.admin.ok<PlannedVisitPageDto>('get', `${path}/visits`);
  expect(new Set(visits.items.map(({ workshopId }) => workshopId))).toEqual(new Set(workshopIds.slice(-1)));
  const { items } = await operator.admin.ok<PlannedItemPageDto>('get', `${path}/items?reason=left-out`);
  expect(items.map(({ task, because }) => [task, because])).toEqual([
    ['brake-check', NOBODY],
    ['brake-check', NOBODY],
  ]);
  for (const { relaxations } of items)
    expect(relaxations.map(({ what }) => what)).toContain(
      'more working time of people competent in brakes and hydraulics',
    );
});

it('answers a wish that nobody is competent for with that one fact', async () => {
  const [vehicleId] = vehicleIds;
  const { items } = await operator.admin.ok<{ items: { key: string; task: string }[] }>(
    'get',
    `/v1/due-items?vehicleId=${vehicleId}&limit=100`,
  );
  const { key } = items.find(({ task }) => task === 'brake-check')!;
  const lock = { vehicleId, workshopId: workshopIds.at(-1), on: '2026-12-09', dueItemKeys: [key] };
  const { id, state, outcome } = await planned({ wishes: { locked: [lock], forbidden: [] } });
  expect(state).toBe('impossible');
  expect(outcome!.conflicts).toMatchObject([
    {
      registrationMark: 'TVP 1',
      wanted: 'Visit to Workshop 23 on 2026-12-09 (Do the brake-check)',
      facts: ['No technician at Workshop 23 has the competences brakes and hydraulics together.'],
    },
  ]);
  // there is an outcome, if no visit
  const { status, text } = await read(`/v1/downtime-plans/${id}/visits.csv`);
  expect([status, text.split('\r\n').length, text.split(',')[0]]).toEqual([200, 2, 'visitId']);
});

it('asks to name workshops where there are more than one search for free times takes', async () => {
  const search = (body: object) =>
    operator.admin.call<Refusal>('post', '/v1/free-times', {
      body: {
        vehicleId: vehicleIds[0],
        dueItemKeys: [],
        extraWork: [{ title: 'Look', minutes: 30 }],
        ...body,
      },
    });
  const refused = await search({});
  expect(refused.status).toBe(422);
  expect(refused.body.errors).toEqual([
    {
      pointer: '#/workshopIds',
      detail: '23 workshops take work, more than are searched for one answer.',
      remedy: 'name up to 20 of them, such as those within reach of the vehicle',
    },
  ]);
  expect((await search({ workshopIds: workshopIds.slice(-20) })).status).toBe(200);
});

it('has nothing to show of a plan that is not made yet, and hands out no file', async () => {
  const { id } = await begun({});
  const path = `/v1/downtime-plans/${id}`;
  const depot = '01a00000-0000-7000-8000-000000000001';
  for (const view of [
    'views',
    `comparison?withId=${id}`,
    'visits.csv',
    'visits.ics',
    `depots/${depot}/availability.svg`,
    `workshops/${depot}/load.svg`,
  ]) {
    const { status, body, headers } = await read(`${path}/${view}`);
    expect([view, status, headers['content-disposition']]).toEqual([view, 409, undefined]);
    expect(body.detail).toBe('The plan is queued: there is nothing to show yet.');
  }
});
