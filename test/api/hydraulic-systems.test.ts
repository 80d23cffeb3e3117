import type { RuleOptions } from '../../src/core/due/rule';
import type {
  HydraulicSystemDto,
  LayoutVersionPageDto,
} from '../../src/modules/hydraulic-systems/dto/hydraulic-system.dto';
import type { LayoutConclusionsDto } from '../../src/modules/hydraulic-systems/dto/layout-conclusions.dto';
import type { VehicleToInspectPageDto } from '../../src/modules/hydraulic-systems/dto/vehicle-to-inspect.dto';
import { HydraulicSystemsService } from '../../src/modules/hydraulic-systems/hydraulic-systems.service';
import type { LayoutRow } from '../../src/modules/hydraulic-systems/plan-layout-versions';
import type { BulkResult } from '../../src/platform/bulk/bulk-result';
import { Transactions, type Tx } from '../../src/platform/database/transactions';
import { systemPrincipal } from '../../src/platform/security/principal';
import type { ApiClient, Refusal } from '../support/api-client';
import { Operator } from '../support/operator';
import { startTestApp, type TestApp } from '../support/test-app';

// Which facts imply and exclude which is common practice, no published source: the expectations below are
// read from the trade's rules, not from the code that applies them.

const ANTI_SINK_TEST: RuleOptions = {
  code: 'anti-sink-hold-test',
  task: 'anti-sink-hold-test',
  title: 'Test that the anti-sink valves hold overnight',
  source: 'made for the test',
  appliesTo: { antiSinkValves: ['fitted'] },
  everyMonths: 12,
};

const UNVERIFIED = {
  pumpKind: 'unverified',
  antiSinkValves: 'unverified',
  rearBrakeAccumulator: 'unverified',
  steeringSupply: 'unverified',
  steeringRegulator: 'unverified',
  fluid: null,
  reservoirLitres: null,
};
const SPLIT = { ...UNVERIFIED, pumpKind: 'split' };
const SEEN = { seenBy: 'technician T07', seenOn: '2026-11-20', how: 'counted the outlets of the pump' };

let test: TestApp;
let operator: Operator;
let admin: ApiClient;
let fleetId: string;
let depotId: string;

beforeAll(async () => {
  test = await startTestApp();
  operator = await Operator.of(test, 'Tarn Valley Patient Transport');
  admin = operator.admin;
  await operator.follows([ANTI_SINK_TEST]);
  fleetId = await operator.fleet('patient transport');
  depotId = await operator.depot(fleetId, 'Upper Tarn');
});
afterAll(() => test.close());

const pathOf = (vehicleId: string) => `/v1/vehicles/${vehicleId}/hydraulic-system`;
const newVehicle = (mark: string) => operator.vehicle(depotId, mark, { inServiceOn: '2026-01-10' });

async function record(vehicleId: string, revision: number, body: object): Promise<HydraulicSystemDto> {
  const answer = await admin.call<HydraulicSystemDto>('put', pathOf(vehicleId), {
    body: body,
    ifMatch: `"r${revision}"`,
  });
  expect(answer).toMatchObject({ status: 200 });
  return answer.body;
}

describe('one vehicle', () => {
  it('knows nothing before the first record, and says what to look at', async () => {
    const vehicleId = await newVehicle('TVP 201');
    const { status, body, etag } = await admin.call<HydraulicSystemDto>('get', pathOf(vehicleId));
    expect(status).toBe(200);
    expect(etag).toBe('"r0"');
    expect(body).toMatchObject({ vehicleId, ...UNVERIFIED, evidence: {}, revision: 0, recordedBy: null });
    expect(body.derived.inspections.map(({ fact }) => fact)).toEqual(Object.keys(UNVERIFIED));
    expect(body.derived.safetyFindings).toMatchObject([{ status: 'possible' }]);
    expect(body.derived.tests).toContainEqual(
      expect.objectContaining({ test: 'anti-sink-hold', applicability: 'unknown' }),
    );
    const texts = body.derived.cautions.map(({ text }) => text).join('\n');
    for (const words of [
      'surgical emergency',
      'dry nitrogen only',
      'drops without warning',
      'licensed person',
    ]) {
      expect(texts).toContain(words);
    }
  });

  it('derives what follows from a split pump, and its due items follow', async () => {
    const vehicleId = await newVehicle('TVP 202');
    const due = () =>
      admin.call<{ items: { task: string; state: string }[] }>('get', `/v1/vehicles/${vehicleId}/due-items`);
    expect((await due()).body.items).toMatchObject([{ state: 'undetermined' }]);

    const system = await record(vehicleId, 0, { ...SPLIT, evidence: { pumpKind: SEEN } });
    expect(system).toMatchObject({ revision: 1, pumpKind: 'split', antiSinkValves: 'unverified' });
    expect(system.derived.follows).toMatchObject([
      { fact: 'steeringSupply', value: 'own-section' },
      { fact: 'antiSinkValves', value: 'fitted' },
      { fact: 'rearBrakeAccumulator', value: 'fitted' },
    ]);
    expect(system.derived.effective).toMatchObject({
      layout: { antiSinkValves: 'fitted' },
      basis: { pumpKind: 'recorded', antiSinkValves: 'follows', steeringRegulator: 'unknown' },
    });
    expect(system.derived.inspections).toContainEqual(
      expect.objectContaining({ fact: 'antiSinkValves', why: 'follows-but-not-seen' }),
    );
    expect(system.derived.inspections.map(({ fact }) => fact)).not.toContain('pumpKind');
    expect(system.derived.positions).toContainEqual({ position: 'rear-brake-accumulator', unit: 'expected' });
    expect(system.derived).toMatchObject({
      rearBrakeFeed: 'rear-brake-accumulator',
      overnightSettling: 'fault',
      safetyFindings: [],
      contradictions: [],
    });
    expect((await due()).body.items).toMatchObject([{ task: 'anti-sink-hold-test', state: 'not-due' }]);

    await record(vehicleId, 1, { ...UNVERIFIED, antiSinkValves: 'not-fitted' });
    expect((await due()).body.items).toEqual([]);
  });

  it('accepts a fact without evidence and asks somebody to look', async () => {
    const vehicleId = await newVehicle('TVP 203');
    const { derived } = await record(vehicleId, 0, { ...SPLIT, fluid: 'mineral' });
    expect(derived.inspections).toContainEqual(
      expect.objectContaining({ fact: 'pumpKind', why: 'no-evidence', urgency: 'next-visit' }),
    );
    expect(derived.cautions.map(({ code }) => code)).toContain('mineral-fluid-only');
  });

  it("says so where the maker's manual rules", async () => {
    const vehicleId = await newVehicle('TVP 204');
    const { derived } = await record(vehicleId, 0, { ...UNVERIFIED, steeringRegulator: 'remote-adjustable' });
    expect(derived.manualNotes).toMatchObject([{ code: 'remote-steering-regulator-manual-rules' }]);
    expect(derived.tests).toContainEqual(
      expect.objectContaining({ test: 'steering-regulator-pressure', applicability: 'applies' }),
    );
  });

  it('refuses facts that contradict each other, and stores nothing', async () => {
    const vehicleId = await newVehicle('TVP 205');
    const body = { ...SPLIT, antiSinkValves: 'not-fitted', steeringSupply: 'shared-supply' };
    const refused = await admin.call<Refusal>('put', pathOf(vehicleId), { body: body, ifMatch: '"r0"' });
    expect(refused.status).toBe(422);
    expect(refused.body.type).toBe('/problems/contradictory-layout');
    expect(refused.body.errors?.map(({ pointer }) => pointer)).toEqual([
      '#/pumpKind',
      '#/steeringSupply',
      '#/pumpKind',
      '#/antiSinkValves',
    ]);
    for (const { detail, remedy } of refused.body.errors ?? []) {
      expect(detail).toContain('split');
      expect(remedy).toContain('count the outlets of the pump');
    }
    expect((await admin.call('get', pathOf(vehicleId))).body).toMatchObject({
      revision: 0,
      pumpKind: 'unverified',
    });
    expect((await admin.call('get', `${pathOf(vehicleId)}/history`)).body).toEqual({ items: [], next: null });
  });

  it('supersedes and never overwrites: what was known at any moment', async () => {
    const vehicleId = await newVehicle('TVP 206');
    const first = await record(vehicleId, 0, { ...SPLIT, evidence: { pumpKind: SEEN } });
    const second = await record(vehicleId, 1, { ...SPLIT, fluid: 'mineral', evidence: { pumpKind: SEEN } });
    expect(second.revision).toBe(2);
    const same = await record(vehicleId, 2, { ...SPLIT, fluid: 'mineral', evidence: { pumpKind: SEEN } });
    expect(same).toEqual(second);

    const history = (query = '') =>
      admin.call<LayoutVersionPageDto>('get', `${pathOf(vehicleId)}/history${query}`);
    const { body } = await history();
    expect(body.items).toMatchObject([
      { version: 2, fluid: 'mineral', supersededAt: null },
      { version: 1, fluid: null, evidence: { pumpKind: SEEN }, supersededAt: second.recordedAt },
    ]);
    const at = (moment: string | null) => history(`?at=${encodeURIComponent(moment ?? '')}`);
    expect((await at(first.recordedAt)).body.items).toMatchObject([{ version: 1 }]);
    expect((await at(second.recordedAt)).body.items).toMatchObject([{ version: 2 }]);
    expect((await at('2020-01-01T00:00:00+01:00')).body.items).toEqual([]);

    const page = await history('?limit=1');
    expect(page.body.items).toMatchObject([{ version: 2 }]);
    const next = await history(`?limit=1&cursor=${page.body.next ?? ''}`);
    expect(next.body).toMatchObject({ items: [{ version: 1 }], next: null });

    const entries = await operator.sql(
      `SELECT action, before, after FROM audit_entries
        WHERE subject_type = 'hydraulic-system' AND vehicle_id = $1 ORDER BY id`,
      [vehicleId],
    );
    expect(entries).toMatchObject([
      { action: 'recorded', before: null, after: { layout: { pumpKind: 'split' } } },
      { action: 'changed', before: { layout: { fluid: null } }, after: { layout: { fluid: 'mineral' } } },
    ]);
  });

  it('lets one of two writers win', async () => {
    const vehicleId = await newVehicle('TVP 207');
    const put = (body: object) => admin.call('put', pathOf(vehicleId), { body: body, ifMatch: '"r0"' });
    const answers = await Promise.all([put(SPLIT), put({ ...UNVERIFIED, pumpKind: 'single-outlet' })]);
    expect(answers.map(({ status }) => status).sort()).toEqual([200, 412]);
    expect((await admin.call('put', pathOf(vehicleId), { body: SPLIT })).status).toBe(428);
    expect((await admin.call('put', pathOf(vehicleId), { body: SPLIT, ifMatch: 'W/"r1"' })).status).toBe(422);
  });

  it('names every bad field with a remedy', async () => {
    const vehicleId = await newVehicle('TVP 208');
    const pointersFor = async (body: object) => {
      const answer = await admin.call<Refusal>('put', pathOf(vehicleId), { body: body, ifMatch: '"r0"' });
      expect(answer.status).toBe(422);
      expect(answer.body.errors?.every(({ remedy }) => remedy.length > 10)).toBe(true);
      return [...new Set(answer.body.errors?.map(({ pointer }) => pointer))];
    };
    expect(await pointersFor({})).toEqual([
      '#/pumpKind',
      '#/antiSinkValves',
      '#/rearBrakeAccumulator',
      '#/steeringSupply',
      '#/steeringRegulator',
    ]);
    expect(
      await pointersFor({
        pumpKind: 'double',
        antiSinkValves: true,
        rearBrakeAccumulator: null,
        steeringSupply: 7,
        steeringRegulator: ['integral'],
        fluid: 'Mineral Fluid',
        reservoirLitres: 0,
        colour: 'green',
      }),
    ).toEqual([
      '#/colour',
      '#/pumpKind',
      '#/antiSinkValves',
      '#/rearBrakeAccumulator',
      '#/steeringSupply',
      '#/steeringRegulator',
      '#/fluid',
      '#/reservoirLitres',
    ]);
    expect(await pointersFor({ ...SPLIT, fluid: 'x'.repeat(61), reservoirLitres: 501 })).toEqual([
      '#/fluid',
      '#/reservoirLitres',
    ]);
    expect(await pointersFor({ ...SPLIT, reservoirLitres: '4.5' })).toEqual(['#/reservoirLitres']);
    for (const evidence of [null, 'T07', []]) {
      expect(await pointersFor({ ...SPLIT, evidence })).toEqual(['#/evidence']);
    }
    expect(await pointersFor({ ...SPLIT, evidence: { pumpKind: null } })).toEqual(['#/evidence/pumpKind']);
    expect(await pointersFor({ ...SPLIT, evidence: { pump: SEEN } })).toEqual(['#/evidence/pump']);
    expect(
      await pointersFor({
        ...SPLIT,
        evidence: { pumpKind: { seenBy: '', seenOn: '2026-02-29', how: 'x'.repeat(501), rank: 1 } },
      }),
    ).toEqual([
      '#/evidence/pumpKind/rank',
      '#/evidence/pumpKind/seenBy',
      '#/evidence/pumpKind/seenOn',
      '#/evidence/pumpKind/how',
    ]);
    expect(
      await pointersFor({
        ...SPLIT,
        evidence: { pumpKind: { ...SEEN, seenOn: '2026-11-26' }, fluid: SEEN },
      }),
    ).toEqual(['#/evidence/pumpKind/seenOn', '#/evidence/fluid']);
    expect((await admin.call('get', pathOf(vehicleId))).body).toMatchObject({ revision: 0 });
    expect((await admin.call('get', `${pathOf(vehicleId)}/history?at=2026-11-25`)).status).toBe(422);
    expect((await admin.call('get', pathOf('x'))).status).toBe(422);
  });

  it("is not shown to somebody else, and another operator's stay hidden", async () => {
    const vehicleId = await newVehicle('TVP 209');
    const stranger = (await Operator.of(test, 'Another operator')).admin;
    expect((await stranger.call('get', pathOf(vehicleId))).status).toBe(404);
    expect((await stranger.call('get', `${pathOf(vehicleId)}/history`)).status).toBe(404);
    expect((await stranger.call('put', pathOf(vehicleId), { body: SPLIT, ifMatch: '"r0"' })).status).toBe(
      404,
    );
    const technician = await operator.colleague('technician');
    expect((await technician.call('put', pathOf(vehicleId), { body: SPLIT, ifMatch: '"r0"' })).status).toBe(
      200,
    );
  });
});

describe('a layout to try', () => {
  it('derives without storing, contradictions included', async () => {
    const url = '/v1/calculations/hydraulic-layout';
    const tried = await admin.call<LayoutConclusionsDto>('post', url, {
      body: {
        pumpKind: 'split',
        antiSinkValves: 'not-fitted',
      },
    });
    expect(tried.status).toBe(200);
    expect(tried.body.contradictions).toMatchObject([
      { code: 'split-pump-means-anti-sink-valves', fields: ['pumpKind', 'antiSinkValves'] },
    ]);
    // without evidence given none is asked for; with it, the facts without a witness are named
    const fact = { steeringSupply: 'other' };
    const why = (answer: { body: LayoutConclusionsDto }) =>
      answer.body.inspections.find(({ fact: name }) => name === 'steeringSupply')?.why;
    expect(why(await admin.call('post', url, { body: fact }))).toBeUndefined();
    expect(why(await admin.call('post', url, { body: { ...fact, evidence: {} } }))).toBe('no-evidence');
    expect(
      why(await admin.call('post', url, { body: { ...fact, evidence: { steeringSupply: SEEN } } })),
    ).toBeUndefined();
    expect((await admin.call('post', url, { body: { pumpKind: 'triple' } })).status).toBe(422);
  });
});

describe('what is to be looked at over the fleet', () => {
  it('lists vehicles, most urgent first, and pages without losing one', async () => {
    const ownFleet = await operator.fleet('quarry');
    const depot = await operator.depot(ownFleet, 'Quarry');
    const add = async (mark: string, layout: object | null) => {
      const id = await operator.vehicle(depot, mark);
      if (layout !== null) await record(id, 0, layout);
      return id;
    };
    const allSeen = (layout: object) => Object.fromEntries(Object.keys(layout).map((fact) => [fact, SEEN]));
    const complete = {
      pumpKind: 'single-outlet',
      antiSinkValves: 'not-fitted',
      rearBrakeAccumulator: 'not-fitted',
      steeringSupply: 'shared-supply',
      steeringRegulator: 'integral',
      fluid: 'mineral',
      reservoirLitres: 4.5,
    };
    await add('Q 1', { ...complete, evidence: allSeen(complete) });
    const unseen = await add('Q 2', complete);
    const noFluid = await add('Q 3', { ...complete, fluid: null });
    const nothing = await add('Q 4', null);
    const dangerous = await add('Q 5', {
      ...UNVERIFIED,
      antiSinkValves: 'fitted',
      rearBrakeAccumulator: 'not-fitted',
    });
    const possible = await add('Q 6', { ...UNVERIFIED, antiSinkValves: 'fitted' });

    const list = (query: string) =>
      admin.call<VehicleToInspectPageDto>(
        'get',
        `/v1/hydraulic-systems/to-inspect?fleetId=${ownFleet}${query}`,
      );
    const { body } = await list('');
    expect(body.items.map(({ vehicleId, urgency }) => [vehicleId, urgency])).toEqual([
      [dangerous, 'safety-finding-stands'],
      [nothing, 'safety-finding-possible'],
      [possible, 'safety-finding-possible'],
      [noFluid, 'before-work'],
      [unseen, 'next-visit'],
    ]);
    expect(body.items[0]).toMatchObject({ registrationMark: 'Q 5', safetyFindings: [{ status: 'stands' }] });
    expect(body.items[3]?.inspections.find(({ why }) => why === 'unverified')?.fact).toBe('fluid');

    const paged: string[] = [];
    let cursor = '';
    do {
      const page: VehicleToInspectPageDto = (await list(`&limit=2${cursor}`)).body;
      paged.push(...page.items.map(({ vehicleId }) => vehicleId));
      cursor = page.next === null ? '' : `&cursor=${page.next}`;
    } while (cursor !== '');
    expect(paged).toEqual(body.items.map(({ vehicleId }) => vehicleId));
    expect((await list(`&depotId=${depotId}`)).body.items).toEqual([]);
    expect((await list('&limit=501')).status).toBe(422);

    const scoped = await operator.colleague('technician', [fleetId]);
    expect(
      (await scoped.call('get', `/v1/hydraulic-systems/to-inspect?fleetId=${ownFleet}`)).body,
    ).toMatchObject({
      items: [],
    });
  });
});

describe('many at once', () => {
  const write = (rows: LayoutRow[]): Promise<BulkResult[]> => {
    const { app } = test;
    const principal = systemPrincipal(operator.organisationId, 'a file');
    const work = (tx: Tx) => app.get(HydraulicSystemsService).writeBatch(tx, principal, rows);
    return app.get(Transactions).read(principal, work);
  };
  const seen = { seenBy: 'technician T03', seenOn: '2026-10-01', how: 'from below' };
  const outcomes = (results: BulkResult[]) => results.map(({ outcome }) => outcome);

  it('changes nothing when a file comes again, even after a correction', async () => {
    const [a, b] = [await newVehicle('TVP 301'), await newVehicle('TVP 302')];
    const rows: LayoutRow[] = [
      { vehicleId: a, pumpKind: 'split', ...seen },
      { vehicleId: b, pumpKind: 'single-outlet', fluid: 'mineral', reservoirLitres: 4.2, ...seen },
      { vehicleId: a, steeringRegulator: 'integral', ...seen, seenOn: '2026-11-01' },
      { vehicleId: b, antiSinkValves: null, ...seen },
    ];
    expect(outcomes(await write(rows))).toEqual(['created', 'created', 'updated', 'unchanged']);
    expect((await admin.call('get', pathOf(a))).body).toMatchObject({
      revision: 2,
      pumpKind: 'split',
      steeringRegulator: 'integral',
      evidence: { pumpKind: seen, steeringRegulator: { seenOn: '2026-11-01' } },
    });
    expect(outcomes(await write(rows))).toEqual(['unchanged', 'unchanged', 'unchanged', 'unchanged']);

    await record(b, 1, { ...UNVERIFIED, pumpKind: 'unverified', fluid: 'glycol' });
    expect(outcomes(await write(rows))).toEqual(['unchanged', 'unchanged', 'unchanged', 'unchanged']);
    expect((await admin.call('get', pathOf(b))).body).toMatchObject({ revision: 2, fluid: 'glycol' });
  });

  it('without evidence it keeps what is on record, and its witness', async () => {
    const vehicleId = await newVehicle('TVP 303');
    await record(vehicleId, 0, { ...SPLIT, evidence: { pumpKind: SEEN } });
    expect(outcomes(await write([{ vehicleId, pumpKind: 'split' }]))).toEqual(['unchanged']);
    expect(outcomes(await write([{ vehicleId, pumpKind: 'split', fluid: 'mineral' }]))).toEqual(['updated']);
    expect((await admin.call('get', pathOf(vehicleId))).body).toMatchObject({
      fluid: 'mineral',
      evidence: { pumpKind: SEEN },
    });
    expect(outcomes(await write([{ vehicleId, pumpKind: 'unverified' }]))).toEqual(['updated']);
    expect((await admin.call('get', pathOf(vehicleId))).body).toMatchObject({
      pumpKind: 'unverified',
      evidence: {},
    });
  });

  it('refuses a bad row with the reason, and only that row', async () => {
    const [a, b] = [await newVehicle('TVP 304'), await newVehicle('TVP 305')];
    const stranger = await (async () => {
      const other = await Operator.of(test, 'A third operator');
      return other.vehicle(await other.depot(await other.fleet('f'), 'd'), 'X 1');
    })();
    const results = await write([
      { vehicleId: a, pumpKind: 'split', antiSinkValves: 'not-fitted', ...seen },
      { vehicleId: stranger, pumpKind: 'split', ...seen },
      { vehicleId: b, pumpKind: 'split', ...seen },
      { vehicleId: b, rearBrakeAccumulator: 'not-fitted', ...seen },
      { vehicleId: a, fluid: 'mineral', ...seen, seenOn: '2026-11-26' },
      { vehicleId: a, fluid: 'mineral', seenBy: 'T03' },
    ]);
    expect(outcomes(results)).toEqual([
      'rejected',
      'rejected',
      'created',
      'rejected',
      'rejected',
      'rejected',
    ]);
    expect(results.map(({ errors }) => errors.map(({ pointer }) => pointer))).toEqual([
      ['#/pumpKind', '#/antiSinkValves'],
      ['#/vehicleKey'],
      [],
      ['#/pumpKind', '#/rearBrakeAccumulator'],
      ['#/seenOn'],
      ['#/seenOn', '#/how'],
    ]);
    expect(results[0]?.errors[0]?.remedy).toContain('count the outlets of the pump');
    expect(results[2]?.subjectId).toBe(b);
    expect((await admin.call('get', pathOf(a))).body).toMatchObject({ revision: 0 });
  });
});
