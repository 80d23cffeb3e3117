import type { RuleOptions } from '../../src/core/due/rule';
import type { DueItemPageDto } from '../../src/modules/due-items/dto/due-item.dto';
import { STANDING_LAYOUTS } from '../../src/modules/due-items/standing-layouts';
import type { HoldOverridePageDto, RecordedOverrideDto } from '../../src/modules/holds/dto/hold-override.dto';
import type { ManualHoldDto } from '../../src/modules/holds/dto/manual-hold.dto';
import type { HeldVehiclePageDto, VehicleHoldDto } from '../../src/modules/holds/dto/vehicle-hold.dto';
import type { VehiclePageDto } from '../../src/modules/vehicles/dto/vehicle.dto';
import type { Answer, ApiClient, Refusal } from '../support/api-client';
import { Operator } from '../support/operator';
import { startTestApp, TEST_NOW, type TestApp } from '../support/test-app';

const BRAKE_RESERVE: RuleOptions = {
  code: 'brake-reserve-check',
  task: 'brake-reserve-check',
  title: 'Check the brake reserve',
  source: 'made for the test',
  everyMonths: 12,
  safetyCritical: true,
};
const FILTER: RuleOptions = {
  code: 'filter-clean',
  task: 'filter-clean',
  title: 'Clean the filter',
  source: 'made for the test',
  everyMonths: 6,
};
const TODAY = '2026-11-25';
const DAY_MS = 86_400_000;
// anti-sink valves without a rear brake accumulator: nothing feeds the rear brakes with the safety valve
// closed (common practice, no published source)
const DANGEROUS = {
  pumpKind: 'unverified',
  antiSinkValves: 'fitted',
  rearBrakeAccumulator: 'not-fitted',
  steeringSupply: 'unverified',
  steeringRegulator: 'unverified',
};

let test: TestApp;
let operator: Operator;
let admin: ApiClient;
let fleetId: string;
let depotId: string;

beforeAll(async () => {
  test = await startTestApp();
  operator = await Operator.of(test, 'Tarn Valley Patient Transport');
  admin = operator.admin;
  await operator.follows([BRAKE_RESERVE, FILTER]);
  fleetId = await operator.fleet('patient transport');
  depotId = await operator.depot(fleetId, 'Upper Tarn');
});
afterAll(() => test.close());
beforeEach(() => test.setNow(TEST_NOW));

let marks = 0;
const newVehicle = (inServiceOn: string, depot = depotId) =>
  operator.vehicle(depot, `TVP ${(marks += 1)}`, { inServiceOn });
/** The reserve check was due on 2026-01-10, without tolerance. */
const overdueVehicle = () => newVehicle('2025-01-10');
const soundVehicle = () => newVehicle('2026-06-01');

const holdOf = (vehicleId: string, client = admin) =>
  client.ok<VehicleHoldDto>('get', `/v1/vehicles/${vehicleId}/hold`);
const place = (vehicleId: string, reason: string, client = admin) =>
  client.ok<ManualHoldDto>('post', `/v1/vehicles/${vehicleId}/holds`, { body: { reason } });
const lift = (holdId: string, revision: number, client = admin) =>
  client.call<ManualHoldDto>('post', `/v1/holds/${holdId}/lift`, {
    body: { reason: 'repaired and checked' },
    ifMatch: `"r${revision}"`,
  });
const override = <T = RecordedOverrideDto>(
  vehicleId: string,
  more: object,
  client = admin,
): Promise<Answer<T>> =>
  client.call<T>('post', `/v1/vehicles/${vehicleId}/hold-overrides`, {
    body: {
      namedPerson: 'R. Oakes',
      statement: 'empty run to the workshop, at walking pace, escorted',
      fromOn: TODAY,
      untilOn: TODAY,
      ...more,
    },
  });

async function pages<T>(path: string, query: string): Promise<T[]> {
  const items: T[] = [];
  let cursor = '';
  do {
    const page = await admin.ok<{ items: T[]; next: string | null }>('get', `${path}?${query}${cursor}`);
    items.push(...page.items);
    cursor = page.next === null ? '' : `&cursor=${page.next}`;
  } while (cursor !== '');
  return items;
}

describe('why a vehicle is on hold', () => {
  it('is not, while nothing is overdue', async () => {
    const vehicleId = await soundVehicle();
    expect(await holdOf(vehicleId)).toMatchObject({
      vehicleId,
      todayOn: TODAY,
      zone: 'Europe/London',
      onHold: false,
      reasons: [],
      manualHolds: [],
      overrides: [],
      cautions: [],
    });
  });

  it('is for a safety-critical item past its late limit, and only for such a one', async () => {
    const vehicleId = await overdueVehicle();
    const hold = await holdOf(vehicleId);
    expect(hold.reasons).toMatchObject([
      { kind: 'overdue', sinceOn: '2026-01-10', findingCode: null, holdId: null },
    ]);
    expect(hold.reasons[0]?.text).toContain('Check the brake reserve is overdue since 2026-01-10');
    const item = await admin.ok('get', `/v1/due-items/${hold.reasons[0]?.dueItemId ?? ''}`);
    expect(item).toMatchObject({ vehicleId, task: 'brake-reserve-check', state: 'overdue' });
    // the reason ends with the record that it follows from
    const path = `/v1/vehicles/${vehicleId}`;
    await admin.ok('patch', path, { body: { inServiceOn: '2026-06-01' }, ifMatch: '"r1"' });
    expect(await holdOf(vehicleId)).toMatchObject({ onHold: false });
  });

  it('shows in full what can hurt whoever works on it', async () => {
    const { cautions } = await holdOf(await overdueVehicle());
    const codes = cautions.map(({ code }) => code);
    expect(codes).toEqual(
      expect.arrayContaining([
        'no-pressure-no-brakes',
        'check-warning-and-reserve-before-release',
        'anti-sink-valves-may-hold-pressure',
        'fluid-injection',
        'advice-not-a-certificate',
      ]),
    );
    expect(cautions.every(({ text }) => text.length > 40)).toBe(true);
  });

  it('is for a safety finding that stands, but not for a possible one', async () => {
    const vehicleId = await soundVehicle();
    const path = `/v1/vehicles/${vehicleId}/hydraulic-system`;
    const possible = { ...DANGEROUS, rearBrakeAccumulator: 'unverified' };
    await admin.ok('put', path, { body: possible, ifMatch: '"r0"' });
    expect(await holdOf(vehicleId)).toMatchObject({ onHold: false });
    await admin.ok('put', path, { body: DANGEROUS, ifMatch: '"r1"' });
    expect(await holdOf(vehicleId)).toMatchObject({
      onHold: true,
      reasons: [
        { kind: 'finding', sinceOn: null, findingCode: 'no-rear-brake-reserve-behind-anti-sink-valves' },
      ],
    });
  });

  it('knows every layout that is a finding by itself', () => {
    // fitted and not-fitted with any pump that can be (a split one contradicts), 4 supplies, 4 regulators;
    // and a split pump without the accumulator, whatever else is on record
    const expected = STANDING_LAYOUTS.filter(
      ({ pumpKind, antiSinkValves, rearBrakeAccumulator }) =>
        rearBrakeAccumulator === 'not-fitted' && (antiSinkValves === 'fitted' || pumpKind === 'split'),
    );
    expect(STANDING_LAYOUTS).toEqual(expected);
    expect(STANDING_LAYOUTS).toHaveLength((2 * 1 + 1 * 3) * 4 * 4);
  });

  it('begins with the day at the depot', async () => {
    const auckland = await operator.depot(fleetId, 'Far side', 'Pacific/Auckland');
    // due, and late, on 2026-11-25; at noon UTC it is the 26th in Auckland already
    const [here, there] = [await newVehicle('2025-11-25'), await newVehicle('2025-11-25', auckland)];
    expect(await holdOf(here)).toMatchObject({ todayOn: '2026-11-25', onHold: false });
    expect(await holdOf(there)).toMatchObject({ todayOn: '2026-11-26', onHold: true });
    const held = (await pages<{ vehicleId: string }>('/v1/holds', '')).map(({ vehicleId }) => vehicleId);
    expect([held.includes(here), held.includes(there)]).toEqual([false, true]);
    test.setNow(TEST_NOW + DAY_MS);
    expect(await holdOf(here)).toMatchObject({ todayOn: '2026-11-26', onHold: true });
  });
});

describe('a hold that a person places', () => {
  it('stands until a planner lifts it', async () => {
    const vehicleId = await soundVehicle();
    const technician = await operator.colleague('technician');
    const hold = await place(vehicleId, 'brake pedal sinks at idle', technician);
    expect(hold).toMatchObject({
      vehicleId,
      reason: 'brake pedal sinks at idle',
      revision: 1,
      liftedAt: null,
    });
    const held = await holdOf(vehicleId);
    expect(held).toMatchObject({ onHold: true, manualHolds: [hold] });
    expect(held.reasons).toMatchObject([{ kind: 'manual', holdId: hold.id, sinceOn: TODAY }]);
    expect(held.reasons[0]?.text).toContain('brake pedal sinks at idle');

    expect((await lift(hold.id, 1, technician)).status).toBe(403);
    const withoutTag = { body: { reason: 'repaired' } };
    expect((await admin.call('post', `/v1/holds/${hold.id}/lift`, withoutTag)).status).toBe(428);
    expect((await lift(hold.id, 7)).status).toBe(412);
    const lifted = await lift(hold.id, 1);
    expect(lifted).toMatchObject({ status: 200, etag: '"r2"', body: { liftReason: 'repaired and checked' } });
    expect(lifted.body.liftedAt).toBe(new Date(TEST_NOW).toISOString());
    expect(await holdOf(vehicleId)).toMatchObject({ onHold: false, manualHolds: [] });
    expect((await lift(hold.id, 2)).status).toBe(409);

    const entries = await operator.sql(
      `SELECT action, actor, vehicle_id FROM audit_entries WHERE subject_id = $1 ORDER BY id`,
      [hold.id],
    );
    expect(entries).toMatchObject([
      { action: 'placed', vehicle_id: vehicleId, actor: expect.stringContaining('technician') as string },
      { action: 'lifted', vehicle_id: vehicleId },
    ]);
  });

  it('is placed once however often the request is repeated', async () => {
    const vehicleId = await soundVehicle();
    const post = () =>
      admin.ok('post', `/v1/vehicles/${vehicleId}/holds`, {
        body: { reason: 'pedal sinks' },
        idempotencyKey: 'hold-of-tuesday',
      });
    expect(await post()).toEqual(await post());
    expect((await holdOf(vehicleId)).manualHolds).toHaveLength(1);
  });

  it('names bad fields, and hides what is not yours', async () => {
    const vehicleId = await soundVehicle();
    const path = `/v1/vehicles/${vehicleId}/holds`;
    for (const body of [{}, { reason: 7 }, { reason: 'no' }, { reason: 'x'.repeat(1001) }]) {
      expect(await admin.refused('post', path, { body })).toEqual(expect.arrayContaining([422, '#/reason']));
    }
    const unknown = { body: { reason: 'pedal sinks', until: TODAY } };
    expect(await admin.refused('post', path, unknown)).toEqual([422, '#/until']);
    expect((await admin.call('get', '/v1/vehicles/none/hold')).status).toBe(422);
    const hold = await place(vehicleId, 'pedal sinks');
    const stranger = (await Operator.of(test, 'Another operator')).admin;
    expect(await stranger.refused('get', `/v1/vehicles/${vehicleId}/hold`)).toEqual([404]);
    expect(await stranger.refused('post', path, { body: { reason: 'pedal sinks' } })).toEqual([404]);
    expect((await lift(hold.id, 1, stranger)).status).toBe(404);
    expect(await stranger.ok('get', '/v1/holds')).toEqual({ items: [], next: null });
  });
});

describe('an override', () => {
  const keysOf = async (vehicleId: string) => (await holdOf(vehicleId)).reasons.map(({ key }) => key);

  it("is a named person's decision for some days, with the cautions", async () => {
    const vehicleId = await overdueVehicle();
    const reasonKeys = await keysOf(vehicleId);
    const { status, body, etag } = await override(vehicleId, { reasonKeys, untilOn: '2026-12-24' });
    expect(status).toBe(201);
    expect(etag).toBe('"r1"');
    expect(body).toMatchObject({
      reasonKeys,
      namedPerson: 'R. Oakes',
      untilOn: '2026-12-24',
      revokedAt: null,
    });
    expect(body.decision).toContain('decision of R. Oakes');
    expect(body.decision).toContain("maker's manual, local law and a licensed person decide");
    expect(body.cautions.map(({ code }) => code)).toContain('no-pressure-no-brakes');

    const hold = await holdOf(vehicleId);
    const inForce = { overrideId: body.id, namedPerson: 'R. Oakes', untilOn: '2026-12-24' };
    expect(hold).toMatchObject({
      onHold: false,
      reasons: [{ overriddenBy: inForce }],
      overrides: [{ id: body.id }],
    });
    const held = await pages<{ vehicleId: string }>('/v1/holds', '');
    expect(held.map((each) => each.vehicleId)).not.toContain(vehicleId);

    test.setNow(Date.parse('2026-12-24T23:30:00Z'));
    expect(await holdOf(vehicleId)).toMatchObject({ onHold: false });
    test.setNow(Date.parse('2026-12-25T00:30:00Z'));
    expect(await holdOf(vehicleId)).toMatchObject({ onHold: true, overrides: [] });

    const entries = await operator.sql(`SELECT action, before FROM audit_entries WHERE subject_id = $1`, [
      body.id,
    ]);
    expect(entries).toMatchObject([{ action: 'overridden', before: { reasons: [{ key: reasonKeys[0] }] } }]);
  });

  it('lifts only what it names, and not the next occasion', async () => {
    const vehicleId = await overdueVehicle();
    const reasonKeys = await keysOf(vehicleId);
    await override(vehicleId, { reasonKeys });
    await place(vehicleId, 'pedal sinks');
    expect(await holdOf(vehicleId)).toMatchObject({
      onHold: true,
      reasons: [
        { kind: 'manual', overriddenBy: null },
        { kind: 'overdue', overriddenBy: { untilOn: TODAY } },
      ],
    });
    const other = await overdueVehicle();
    await override(other, { reasonKeys: await keysOf(other) });
    // done on 2025-02-10, and so overdue again since 2026-02-10
    await operator.sql(
      `INSERT INTO task_completions (organisation_id, vehicle_id, fleet_id, task, done_on)
        VALUES ($1, $2, $3, 'brake-reserve-check', '2025-02-10')`,
      [operator.organisationId, other, fleetId],
    );
    await admin.ok('patch', `/v1/vehicles/${other}`, { body: { fleetNumber: '17' }, ifMatch: '"r1"' });
    expect(await holdOf(other)).toMatchObject({
      onHold: true,
      reasons: [{ sinceOn: '2026-02-10', overriddenBy: null }],
    });
  });

  it('can be taken back', async () => {
    const vehicleId = await overdueVehicle();
    const { body } = await override(vehicleId, { reasonKeys: await keysOf(vehicleId) });
    const revoke = (ifMatch?: string, client = admin) =>
      client.call('post', `/v1/hold-overrides/${body.id}/revoke`, { ifMatch });
    expect((await revoke()).status).toBe(428);
    expect((await revoke('"r2"')).status).toBe(412);
    expect((await revoke('"r1"', await operator.colleague('front-desk'))).status).toBe(403);
    expect((await revoke('"r1"', (await Operator.of(test, 'A stranger')).admin)).status).toBe(404);
    expect(await revoke('"r1"')).toMatchObject({ status: 200, etag: '"r2"' });
    expect((await revoke('"r2"')).status).toBe(409);
    expect(await holdOf(vehicleId)).toMatchObject({ onHold: true });

    await override(vehicleId, { reasonKeys: await keysOf(vehicleId) });
    const path = `/v1/vehicles/${vehicleId}/hold-overrides`;
    const list = await admin.ok<HoldOverridePageDto>('get', path);
    expect(list.items.map(({ revokedAt }) => revokedAt === null)).toEqual([true, false]);
    expect(await pages(path, 'limit=1')).toEqual(list.items);
  });

  it('is refused where it names no reason, no person, or lasts too long', async () => {
    const vehicleId = await overdueVehicle();
    const [key = ''] = await keysOf(vehicleId);
    const reasonKeys = [key];
    const refusal = await override<Refusal>(vehicleId, { reasonKeys: [key, 'manual:none'] });
    expect(refusal.status).toBe(422);
    expect(refusal.body.errors).toMatchObject([{ pointer: '#/reasonKeys' }]);
    expect(refusal.body.errors?.[0]?.detail).toContain('manual:none');
    expect(refusal.body.errors?.[0]?.remedy).toContain(key);

    const pointers = async (more: object) => {
      const { status, body } = await override<Refusal>(vehicleId, { reasonKeys, ...more });
      expect(status).toBe(422);
      return [...new Set(body.errors?.map(({ pointer }) => pointer))];
    };
    expect(await pointers({ reasonKeys: [] })).toEqual(['#/reasonKeys']);
    expect(await pointers({ reasonKeys: [key, key] })).toEqual(['#/reasonKeys']);
    expect(await pointers({ reasonKeys: Array.from({ length: 51 }, (_, at) => `k${at}`) })).toEqual([
      '#/reasonKeys',
    ]);
    expect(await pointers({ reasonKeys: key })).toEqual(['#/reasonKeys']);
    expect(await pointers({ reasonKeys: [7] })).toEqual(['#/reasonKeys']);
    expect(
      await pointers({ namedPerson: '', statement: 'ok', fromOn: 'today', untilOn: null, by: 1 }),
    ).toEqual(['#/by', '#/namedPerson', '#/statement', '#/fromOn', '#/untilOn']);
    expect(await pointers({ fromOn: '2026-11-24' })).toEqual(['#/fromOn']);
    expect(await pointers({ fromOn: '2026-11-27', untilOn: '2026-11-26' })).toEqual(['#/untilOn']);
    expect(await pointers({ untilOn: '2026-12-25' })).toEqual(['#/untilOn']);

    const path = `/v1/vehicles/${vehicleId}/hold-overrides`;
    expect((await override(vehicleId, { reasonKeys }, await operator.colleague('technician'))).status).toBe(
      403,
    );
    expect((await override(vehicleId, { reasonKeys }, (await Operator.of(test, 'S')).admin)).status).toBe(
      404,
    );
    expect(await admin.ok('get', path)).toEqual({ items: [], next: null });
    const sound = await override<Refusal>(await soundVehicle(), { reasonKeys });
    expect(sound.body.detail).toContain('Nothing holds this vehicle today');
  });
});

describe('over the fleet', () => {
  it('the list, the single vehicle and the due items agree on who is on hold', async () => {
    const fleet = await operator.fleet('quarry');
    const depots = [await operator.depot(fleet, 'Quarry'), await operator.depot(fleet, 'Face', 'Asia/Tokyo')];
    const vehicles: string[] = [];
    for (const [at, inServiceOn] of [
      '2025-01-10',
      '2026-06-01',
      '2025-03-01',
      '2025-11-25',
      '2025-11-24',
    ].entries()) {
      vehicles.push(await newVehicle(inServiceOn, depots[at % 2]));
    }
    const [overdue = '', sound = '', released = ''] = vehicles;
    await override(released, { reasonKeys: (await holdOf(released)).reasons.map(({ key }) => key) });
    await place(sound, 'pedal sinks');
    // two reasons, one of them overridden
    const keys = (await holdOf(overdue)).reasons.map(({ key }) => key);
    await override(overdue, { reasonKeys: keys });
    await place(overdue, 'pedal sinks');

    const single = await Promise.all(vehicles.map((vehicleId) => holdOf(vehicleId)));
    const expected = single.filter(({ onHold }) => onHold).map(({ vehicleId }) => vehicleId);
    expect(expected).toHaveLength(3);
    expect(expected).not.toContain(released);

    const list = await admin.ok<HeldVehiclePageDto>('get', `/v1/holds?fleetId=${fleet}`);
    expect(list.items.map(({ vehicleId }) => vehicleId)).toEqual(expected);
    expect(list.items[0]).toMatchObject({ onHold: true, reasons: single[0]?.reasons });
    expect(await pages('/v1/holds', `fleetId=${fleet}&limit=1`)).toEqual(list.items);
    const ofDepot = await pages<{ depotId: string }>('/v1/holds', `depotId=${depots[1] ?? ''}`);
    expect(ofDepot.every((each) => each.depotId === depots[1])).toBe(true);
    expect(ofDepot).not.toEqual([]);

    const itemsOf = async (query: string) => {
      const { items } = await admin.ok<DueItemPageDto>('get', `/v1/due-items?fleetId=${fleet}${query}`);
      return items.map(({ vehicleId, id }) => ({ vehicleId, id }));
    };
    const [all, held, others] = [
      await itemsOf(''),
      await itemsOf('&onHold=true'),
      await itemsOf('&onHold=false'),
    ];
    expect([...new Set(held.map(({ vehicleId }) => vehicleId))].sort()).toEqual(expected);
    expect(all).toHaveLength(10);
    expect(all.filter(({ vehicleId }) => expected.includes(vehicleId))).toEqual(held);
    expect(all.filter(({ vehicleId }) => !expected.includes(vehicleId))).toEqual(others);
    expect(await itemsOf(`&onHold=true&vehicleId=${released}`)).toEqual([]);
    const paged = await pages<{ id: string }>('/v1/due-items', `fleetId=${fleet}&onHold=true&limit=2`);
    expect(paged.map(({ id }) => id)).toEqual(held.map(({ id }) => id));
  });

  it('leaves out a vehicle that has left the fleet', async () => {
    const vehicleId = await overdueVehicle();
    await place(vehicleId, 'pedal sinks');
    await admin.ok('patch', `/v1/vehicles/${vehicleId}`, { body: { retiredOn: TODAY }, ifMatch: '"r1"' });
    const held = await pages<{ vehicleId: string }>('/v1/holds', '');
    expect(held.map((each) => each.vehicleId)).not.toContain(vehicleId);
  });
});

it('finds vehicles by whether they are on hold, and by whether something is overdue', async () => {
  const depot = await operator.depot(fleetId, 'Lower Tarn');
  // the filter of a vehicle from the spring is overdue, and is not safety-critical
  const [overdue, late, sound] = [
    await newVehicle('2025-01-10', depot),
    await newVehicle('2026-04-01', depot),
    await newVehicle('2026-06-01', depot),
  ];
  const found = async (query: string): Promise<string[]> => {
    const { items } = await admin.ok<VehiclePageDto>('get', `/v1/vehicles?depotId=${depot}&${query}`);
    return items.map(({ id }) => id).sort();
  };
  const inOrder = (...ids: string[]): string[] => ids.sort();
  expect(await found('onHold=true')).toEqual([overdue]);
  expect(await found('onHold=false')).toEqual(inOrder(late, sound));
  expect(await found('overdue=true')).toEqual(inOrder(overdue, late));
  expect(await found('overdue=false')).toEqual([sound]);
  expect(await found('overdue=true&onHold=false')).toEqual([late]);
  await place(sound, 'a pipe weeps');
  expect(await found('onHold=true&overdue=false')).toEqual([sound]);
  // today is the depot's day
  test.setNow(TEST_NOW - 300 * DAY_MS);
  expect(await found('overdue=true')).toEqual([overdue]);
});
