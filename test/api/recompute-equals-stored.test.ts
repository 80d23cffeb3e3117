import type { AddressInfo } from 'node:net';
import fc from 'fast-check';
import { tarnValleyFleet } from '../../src/cli/demo/tarn-valley/tarn-valley-fleet';
import {
  FITTED_ANSWERS,
  PUMP_KINDS,
  STEERING_REGULATORS,
  STEERING_SUPPLIES,
} from '../../src/core/hydraulics/hydraulic-layout';
import type { ImportKindName } from '../../src/modules/imports/import-kind';
import { DueItemsService } from '../../src/modules/due-items/due-items.service';
import { systemPrincipal } from '../../src/platform/security/principal';
import { startWork } from '../../src/work';
import { ImportClient } from '../support/import-client';
import { Operator } from '../support/operator';
import { send, type Sent } from '../support/send';
import { startTestApp, TEST_NOW, type TestApp } from '../support/test-app';

jest.setTimeout(600_000);

const FLEETS = 200;
const SEED = 20_261_125;
/** Fleets that are written to at the same time. */
const AT_ONCE = 6;

let test: TestApp;
beforeAll(async () => {
  test = await startTestApp({ requestsPerMinute: 100_000_000 });
});
afterAll(() => test.close());

// ---- random histories

const dayOf = (on: string): number => Math.round(Date.parse(`${on}T00:00:00Z`) / 86_400_000);
const [FIRST, LAST] = [dayOf('2022-01-01'), dayOf('2026-11-24')];
const onOf = (day: number): string => new Date(day * 86_400_000).toISOString().slice(0, 10);

const day = fc.integer({ min: FIRST, max: LAST });
const dutyClass = fc.constantFrom('standard', 'urban-stop-start', 'rough-road');
// hours at which the local day is another one than in Greenwich, too
const hour = fc.constantFrom(0, 8, 12, 23);
const task = fc.constantFrom(
  'fluid-change',
  'filter-clean',
  'precharge-test',
  'brake-reserve-test',
  'regulator-cycle-test',
  'recharge',
  'hose-inspection',
);
const zone = fc.constantFrom('Europe/London', 'Pacific/Auckland', 'America/St_Johns', 'UTC', 'Asia/Kolkata');

type Step =
  | { kind: 'reading'; day: number; hour: number; wrong: number | null; hours: boolean }
  | { kind: 'decision'; decision: 'accept' | 'accept-corrected' | 'reject' }
  | { kind: 'replacement'; day: number }
  | { kind: 'replacement removed' }
  | { kind: 'duty change'; day: number; dutyClass: string }
  | { kind: 'duty change removed' }
  | { kind: 'off road'; day: number; length: number }
  | { kind: 'off road removed' }
  | { kind: 'layout'; layout: Record<string, unknown> }
  | { kind: 'completion'; task: string; day: number; withMeter: boolean }
  | { kind: 'void' }
  | { kind: 'vehicle'; change: Record<string, unknown> }
  | { kind: 'zone'; zone: string }
  | { kind: 'programme of the fleet' }
  | { kind: 'refit' }
  | { kind: 'unit move'; unit: number; day: number; to: string }
  | { kind: 'unit move undone'; unit: number }
  | { kind: 'unit test'; unit: number; day: number; charge: boolean; pressureBarGauge: number }
  | { kind: 'unit test voided'; unit: number }
  | { kind: 'system test'; day: number; passes: boolean }
  | { kind: 'system test voided' };

const UNITS_OF_A_FLEET = 3;
const unit = fc.integer({ min: 0, max: UNITS_OF_A_FLEET - 1 });

const layout = fc.record({
  pumpKind: fc.constantFrom(...PUMP_KINDS),
  antiSinkValves: fc.constantFrom(...FITTED_ANSWERS),
  rearBrakeAccumulator: fc.constantFrom(...FITTED_ANSWERS),
  steeringSupply: fc.constantFrom(...STEERING_SUPPLIES),
  steeringRegulator: fc.constantFrom(...STEERING_REGULATORS),
  fluid: fc.constantFrom('mineral', 'glycol', null),
});

const step: fc.Arbitrary<Step> = fc.oneof(
  {
    weight: 9,
    arbitrary: fc.record({
      kind: fc.constant('reading' as const),
      day,
      hour,
      // a typing error now and then: a digit too many, one too few, miles for kilometres
      wrong: fc.option(fc.constantFrom(10, 0.1, 0.621371), { freq: 6 }),
      hours: fc.boolean(),
    }),
  },
  {
    weight: 2,
    arbitrary: fc.record({
      kind: fc.constant('decision' as const),
      decision: fc.constantFrom('accept' as const, 'accept-corrected' as const, 'reject' as const),
    }),
  },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('replacement' as const), day }) },
  { weight: 1, arbitrary: fc.constant({ kind: 'replacement removed' as const }) },
  { weight: 2, arbitrary: fc.record({ kind: fc.constant('duty change' as const), day, dutyClass }) },
  { weight: 1, arbitrary: fc.constant({ kind: 'duty change removed' as const }) },
  {
    weight: 2,
    arbitrary: fc.record({
      kind: fc.constant('off road' as const),
      day,
      length: fc.integer({ min: 1, max: 90 }),
    }),
  },
  { weight: 1, arbitrary: fc.constant({ kind: 'off road removed' as const }) },
  { weight: 2, arbitrary: fc.record({ kind: fc.constant('layout' as const), layout }) },
  {
    weight: 5,
    arbitrary: fc.record({ kind: fc.constant('completion' as const), task, day, withMeter: fc.boolean() }),
  },
  { weight: 1, arbitrary: fc.constant({ kind: 'void' as const }) },
  {
    weight: 2,
    arbitrary: fc.record({
      kind: fc.constant('vehicle' as const),
      change: fc.oneof(
        fc.record({ inServiceOn: fc.option(day.map(onOf)) }),
        fc.record({ dutyClass }),
        fc.record({ inServiceOdometerKm: fc.option(fc.integer({ min: 0, max: 5_000 })) }),
        fc.record({ statedYearlyDistanceKm: fc.option(fc.integer({ min: 5_000, max: 90_000 })) }),
        fc.record({ retiredOn: fc.option(day.map(onOf), { freq: 2 }) }),
        fc.record({ odometerUnit: fc.constantFrom('km', 'mi') }),
      ),
    }),
  },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('zone' as const), zone }) },
  { weight: 1, arbitrary: fc.constant({ kind: 'programme of the fleet' as const }) },
  { weight: 1, arbitrary: fc.constant({ kind: 'refit' as const }) },
  {
    weight: 4,
    arbitrary: fc.record({
      kind: fc.constant('unit move' as const),
      unit,
      day,
      to: fc.constantFrom(
        'suspension-front-left',
        'suspension-rear-right',
        'on-the-shelf',
        'away-for-recharge',
      ),
    }),
  },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('unit move undone' as const), unit }) },
  {
    weight: 4,
    arbitrary: fc.record({
      kind: fc.constant('unit test' as const),
      unit,
      day,
      charge: fc.boolean(),
      pressureBarGauge: fc.integer({ min: 30, max: 56 }),
    }),
  },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('unit test voided' as const), unit }) },
  {
    weight: 2,
    arbitrary: fc.record({ kind: fc.constant('system test' as const), day, passes: fc.boolean() }),
  },
  { weight: 1, arbitrary: fc.constant({ kind: 'system test voided' as const }) },
);

const vehiclePlan = fc.record({
  inServiceOn: fc.option(day.map(onOf), { freq: 4 }),
  dutyClass,
  odometerUnit: fc.constantFrom('km' as const, 'mi' as const),
  perDay: fc.integer({ min: 5, max: 250 }),
  steps: fc.array(step, { minLength: 4, maxLength: 14 }),
});
type VehiclePlan = typeof vehiclePlan extends fc.Arbitrary<infer T> ? T : never;

const fleetPlan = fc.record({ zone, vehicles: fc.array(vehiclePlan, { minLength: 1, maxLength: 2 }) });
type FleetPlan = typeof fleetPlan extends fc.Arbitrary<infer T> ? T : never;

// ---- writing them through the API

const tally = new Map<string, number>();

interface Surroundings {
  id: string;
  fleetId: string;
  depotId: string;
  unitIds: string[];
  vehicle: VehiclePlan;
}

class Writer {
  constructor(
    private readonly owner: Operator,
    private readonly programmeIds: readonly string[],
    private readonly unitTypeId: string,
  ) {}

  async fleet(index: number, plan: FleetPlan): Promise<void> {
    const fleetId = await this.owner.fleet(`fleet ${index}`);
    const depotId = await this.owner.depot(fleetId, `depot ${index}`, plan.zone);
    const unitIds: string[] = [];
    for (let number = 0; number < UNITS_OF_A_FLEET; number++) {
      const { id } = await this.owner.admin.ok<{ id: string }>('post', '/v1/gas-units', {
        body: {
          fleetId,
          unitTypeId: this.unitTypeId,
          serialNumber: `${index}-${number}`,
          madeOn: '2020-01-01',
          movedBy: 'the test',
          place: { state: 'on-the-shelf', depotId, fromAt: '2020-02-01T08:00:00Z' },
        },
      });
      unitIds.push(id);
    }
    const vehicles: { id: string; plan: VehiclePlan }[] = [];
    for (const [number, vehicle] of plan.vehicles.entries()) {
      const { inServiceOn, dutyClass: duty, odometerUnit } = vehicle;
      const id = await this.owner.vehicle(depotId, `R${index} ${number}`, {
        inServiceOn,
        dutyClass: duty,
        odometerUnit,
      });
      vehicles.push({ id, plan: vehicle });
    }
    // steps of the vehicles of a fleet alternate, so that what concerns the fleet falls in between
    const longest = Math.max(...vehicles.map(({ plan: { steps } }) => steps.length));
    for (let turn = 0; turn < longest; turn++) {
      for (const { id, plan: vehicle } of vehicles) {
        const next = vehicle.steps[turn];
        if (next !== undefined) await this.step(next, { id, fleetId, depotId, unitIds, vehicle });
      }
    }
  }

  private async step(next: Step, { id, fleetId, depotId, unitIds, vehicle }: Surroundings): Promise<void> {
    const ofVehicle = `/v1/vehicles/${id}`;
    const shown = (onDay: number): number => (onDay - FIRST) * vehicle.perDay;
    switch (next.kind) {
      case 'reading': {
        const total = next.hours ? shown(next.day) / 30 : shown(next.day);
        await this.attempt(next.kind, 'POST', `${ofVehicle}/odometer-readings`, {
          value: Math.round(total * (next.wrong ?? 1) * 10) / 10,
          meter: next.hours ? 'engine-hours' : 'odometer',
          readAt: new Date((next.day * 24 + next.hour) * 3_600_000).toISOString(),
          source: 'driver-sheet',
        });
        return;
      }
      case 'decision': {
        const path = `${ofVehicle}/odometer-readings?state=quarantined`;
        const quarantined = await this.first(path);
        if (quarantined === undefined) return;
        const value = next.decision === 'accept-corrected' ? { value: shown(LAST) } : {};
        await this.change(
          next.kind,
          'POST',
          `/v1/odometer-readings/${quarantined}/decision`,
          `/v1/odometer-readings/${quarantined}`,
          {
            decision: next.decision,
            note: 'as the plan says',
            ...value,
          },
        );
        return;
      }
      case 'replacement':
        await this.attempt(next.kind, 'POST', `${ofVehicle}/odometer-replacements`, {
          replacedAt: new Date((next.day * 24 + 10) * 3_600_000).toISOString(),
          oldFinalValue: shown(next.day) + 5,
          newInitialValue: 0,
        });
        return;
      case 'duty change':
        await this.attempt(next.kind, 'POST', `${ofVehicle}/duty-changes`, {
          fromOn: onOf(next.day),
          dutyClass: next.dutyClass,
        });
        return;
      case 'off road':
        await this.attempt(next.kind, 'POST', `${ofVehicle}/off-road-periods`, {
          fromOn: onOf(next.day),
          untilOn: onOf(next.day + next.length),
          reason: 'gearbox',
        });
        return;
      case 'replacement removed':
        return this.removeFirst(next.kind, ofVehicle, 'odometer-replacements');
      case 'duty change removed':
        return this.removeFirst(next.kind, ofVehicle, 'duty-changes');
      case 'off road removed':
        return this.removeFirst(next.kind, ofVehicle, 'off-road-periods');
      case 'layout':
        await this.change(
          next.kind,
          'PUT',
          `${ofVehicle}/hydraulic-system`,
          `${ofVehicle}/hydraulic-system`,
          next.layout,
        );
        return;
      case 'completion':
        await this.attempt(next.kind, 'POST', `${ofVehicle}/task-completions`, {
          task: next.task,
          doneOn: onOf(next.day),
          ...(next.withMeter ? { odometerValue: shown(next.day) } : {}),
        });
        return;
      case 'void': {
        const completion = await this.first(`${ofVehicle}/task-completions`);
        if (completion === undefined) return;
        const path = `/v1/task-completions/${completion}`;
        await this.change(next.kind, 'POST', `${path}/void`, path, { reason: 'belongs to another vehicle' });
        return;
      }
      case 'vehicle':
        await this.change(next.kind, 'PATCH', ofVehicle, ofVehicle, next.change);
        return;
      case 'zone':
        await this.change(next.kind, 'PATCH', `/v1/depots/${depotId}`, `/v1/depots/${depotId}`, {
          zone: next.zone,
        });
        return;
      case 'programme of the fleet': {
        const serviceProgrammeId = this.programmeIds[vehicle.perDay % this.programmeIds.length];
        await this.change(next.kind, 'PATCH', `/v1/fleets/${fleetId}`, `/v1/fleets/${fleetId}`, {
          serviceProgrammeId,
        });
        return;
      }
      case 'refit':
        await this.attempt(next.kind, 'POST', '/v1/usage-models/refit', { fleetId });
        return;
      case 'unit move': {
        const isFitted = next.to.startsWith('suspension-');
        await this.attempt(next.kind, 'POST', '/v1/unit-moves', {
          at: new Date((next.day * 24 + 9) * 3_600_000).toISOString(),
          movedBy: 'the test',
          displaced: 'on-the-shelf',
          moves: [
            {
              gasUnitId: unitIds[next.unit],
              to: isFitted ? { state: 'fitted', vehicleId: id, position: next.to } : { state: next.to },
            },
          ],
        });
        return;
      }
      case 'unit move undone': {
        const placement = await this.first(`/v1/gas-units/${unitIds[next.unit] ?? ''}/placements`);
        const path = `/v1/unit-placements/${placement ?? ''}`;
        if (placement !== undefined) await this.change(next.kind, 'DELETE', path, path);
        return;
      }
      case 'unit test':
        await this.attempt(
          next.kind,
          'POST',
          `/v1/gas-units/${unitIds[next.unit] ?? ''}/${next.charge ? 'charges' : 'precharge-tests'}`,
          {
            doneAt: new Date((next.day * 24 + 11) * 3_600_000).toISOString(),
            pressureBarGauge: next.pressureBarGauge,
            gasTemperatureC: 15,
            doneBy: 'the test',
            ...(next.charge ? { gas: 'nitrogen' } : {}),
          },
        );
        return;
      case 'unit test voided': {
        const event = await this.first(`/v1/gas-units/${unitIds[next.unit] ?? ''}/events`);
        const path = `/v1/gas-unit-events/${event ?? ''}`;
        if (event !== undefined)
          await this.change(next.kind, 'POST', `${path}/void`, path, { reason: 'belongs to another unit' });
        return;
      }
      case 'system test':
        await this.attempt(next.kind, 'POST', `${ofVehicle}/system-tests`, {
          task: 'low-pressure-warning-test',
          doneAt: new Date((next.day * 24 + 14) * 3_600_000).toISOString(),
          warningBarGauge: next.passes ? 90 : 60,
          doneBy: 'the test',
        });
        return;
      case 'system test voided': {
        const systemTest = await this.first(`${ofVehicle}/system-tests`);
        const path = `/v1/system-tests/${systemTest ?? ''}`;
        if (systemTest !== undefined)
          await this.change(next.kind, 'POST', `${path}/void`, path, {
            reason: 'belongs to another vehicle',
          });
      }
    }
  }

  private async removeFirst(kind: Step['kind'], ofVehicle: string, records: string): Promise<void> {
    const record = await this.first(`${ofVehicle}/${records}`);
    if (record !== undefined)
      await this.change(kind, 'DELETE', `/v1/${records}/${record}`, `/v1/${records}/${record}`);
  }

  private async first(path: string): Promise<string | undefined> {
    const { items } = await this.owner.admin.ok<{ items: { id: string }[] }>('get', path);
    return items[0]?.id;
  }

  private async change(
    kind: Step['kind'],
    method: string,
    path: string,
    record: string,
    body?: object,
  ): Promise<void> {
    const { headers } = await this.send('GET', record);
    await this.attempt(kind, method, path, body, { 'if-match': headers.etag ?? '' });
  }

  // a plan may ask for what the records do not allow; then nothing is stored, which is a case of its own
  private async attempt(
    kind: Step['kind'],
    method: string,
    path: string,
    body?: object,
    headers?: Record<string, string>,
  ): Promise<void> {
    const { status, text } = await this.send(method, path, body, headers);
    if (status >= 500 || status === 404 || status === 412 || status === 428)
      throw new Error(`${method} ${path} ${JSON.stringify(body)} answered ${status} ${text}`);
    const outcome = `${kind}: ${status < 300 ? 'stored' : 'refused'}`;
    tally.set(outcome, (tally.get(outcome) ?? 0) + 1);
  }

  private send(
    method: string,
    path: string,
    body?: object,
    headers: Record<string, string> = {},
  ): Promise<Sent> {
    return send(test, method, path, { key: this.owner.organisation.administratorKey, body, headers });
  }
}

async function publishProgramme(owner: Operator, name: string, rules?: object[]): Promise<string> {
  const body = rules === undefined ? { name, fromStarter: true } : { name, rules };
  const { id } = await owner.admin.ok<{ id: string }>('post', '/v1/service-programmes', { body });
  await publishLatest(owner, id);
  return id;
}

async function publishLatest(
  owner: Operator,
  programmeId: string,
  effectiveOn = '2026-11-25',
): Promise<void> {
  const path = `/v1/service-programmes/${programmeId}/versions`;
  const { items } = await owner.admin.ok<{ items: { id: string; revision: number; state: string }[] }>(
    'get',
    path,
  );
  const draft = items.find(({ state }) => state === 'draft')!;
  await owner.admin.ok('post', `${path}/${draft.id}/publish`, {
    body: { effectiveOn },
    ifMatch: `"r${draft.revision}"`,
  });
}

// ---- what is stored

interface StoredItem {
  id: string;
  vehicle: string;
  row: string;
}

/** Every stored item of an organisation, its texts as they were written. */
async function storedItems(owner: Operator): Promise<StoredItem[]> {
  return owner.sql<StoredItem>(
    `SELECT i.id, v.registration_mark AS vehicle, concat_ws(' | ', i.vehicle_id, i.fleet_id, i.depot_id, i.item_key,
        i.task, i.position, i.safety_critical, i.driver, i.early_on, i.due_on, i.late_on, i.details::text,
        i.reasoning::text) AS row
      FROM due_items i JOIN vehicles v ON v.organisation_id = i.organisation_id AND v.id = i.vehicle_id
      WHERE i.organisation_id = $1 ORDER BY i.vehicle_id, i.item_key`,
    [owner.organisationId],
  );
}

/** Recomputes everything, over what is stored and from nothing; both have to leave what was there. */
async function expectRecomputeToEqualStored(owner: Operator): Promise<number> {
  const recompute = (): Promise<number> =>
    test.app.get(DueItemsService).recomputeInBatches(systemPrincipal(owner.organisationId, 'test'));
  const stored = await storedItems(owner);
  await recompute();
  expectSame(await storedItems(owner), stored);

  await owner.sql('DELETE FROM due_items WHERE organisation_id = $1', [owner.organisationId]);
  await recompute();
  const withoutId = (items: StoredItem[]): StoredItem[] => items.map((item) => ({ ...item, id: '' }));
  expectSame(withoutId(await storedItems(owner)), withoutId(stored));
  return stored.length;
}

// tens of thousands of long rows: only those that differ are worth showing
function expectSame(found: StoredItem[], stored: StoredItem[]): void {
  const keyed = (items: StoredItem[]): Set<string> => new Set(items.map((item) => JSON.stringify(item)));
  const [before, after] = [keyed(stored), keyed(found)];
  const differing = {
    onlyStored: [...before].filter((item) => !after.has(item)).slice(0, 3),
    onlyRecomputed: [...after].filter((item) => !before.has(item)).slice(0, 3),
  };
  expect(differing).toEqual({ onlyStored: [], onlyRecomputed: [] });
  expect(found.length).toBe(stored.length);
}

// ---- the tests

it(`${FLEETS} random fleets: what is stored is what computing everything again gives`, async () => {
  const owner = await Operator.of(test, 'Random Fleets');
  const programmeIds = [
    await publishProgramme(owner, 'starter'),
    await publishProgramme(owner, 'own', [
      {
        code: 'fluid-change',
        task: 'fluid-change',
        everyMonths: 18,
        everyKm: 45_000,
        severityByDutyClass: { 'rough-road': 0.6 },
      },
      { code: 'recharge', task: 'recharge', everyEngineHours: 800, everyMonths: 48 },
      {
        code: 'hose-inspection',
        task: 'hose-inspection',
        everyMonths: 12,
        first: { months: 6 },
        safetyCritical: true,
      },
    ]),
  ];
  const standing = await owner.admin.ok<{ revision: number }>('get', '/v1/service-programmes/default');
  await owner.admin.ok('put', '/v1/service-programmes/default', {
    body: { serviceProgrammeId: programmeIds[0] },
    ifMatch: `"r${standing.revision}"`,
  });

  const plans = fc.sample(fleetPlan, { seed: SEED, numRuns: FLEETS });
  const { id: unitTypeId } = await owner.admin.ok<{ id: string }>('post', '/v1/gas-unit-types', {
    body: {
      code: 'sphere-55',
      name: 'Suspension unit, 55 bar',
      roles: ['suspension'],
      nominalPrecharge20BarGauge: 55,
      gasVolumeCm3: 400,
      damperIntegral: true,
    },
  });
  const writer = new Writer(owner, programmeIds, unitTypeId);
  const waiting = [...plans.entries()];
  const work = async (): Promise<void> => {
    for (let next = waiting.shift(); next !== undefined; next = waiting.shift()) await writer.fleet(...next);
  };
  await Promise.all(Array.from({ length: AT_ONCE }, work));

  // every kind of write has been stored, so that the comparison is about something
  const kinds = [
    'completion',
    'decision',
    'duty change',
    'duty change removed',
    'layout',
    'off road',
    'off road removed',
    'programme of the fleet',
    'reading',
    'refit',
    'replacement',
    'replacement removed',
    'system test',
    'system test voided',
    'unit move',
    'unit move undone',
    'unit test',
    'unit test voided',
    'vehicle',
    'void',
    'zone',
  ];
  expect(kinds.filter((kind) => !tally.has(`${kind}: stored`))).toEqual([]);
  const quarantined = await owner.sql(`SELECT FROM odometer_readings WHERE state = 'quarantined'`);
  expect(quarantined.length).toBeGreaterThan(0);
  expect(await expectRecomputeToEqualStored(owner)).toBeGreaterThan(FLEETS * 5);
  const drivers = await owner.sql<{ driver: string }>(`SELECT DISTINCT driver FROM due_items`);
  expect(drivers.map(({ driver }) => driver)).toEqual(
    expect.arrayContaining(['age', 'condition', 'distance', 'failed-test', 'time']),
  );

  // what is learnt of a type of unit, and what its nominal precharge is, moves every vehicle that has one
  await owner.admin.ok('post', '/v1/precharge-models/refit', { body: { unitTypeId } });
  await expectRecomputeToEqualStored(owner);
  await owner.admin.ok('patch', `/v1/gas-unit-types/${unitTypeId}`, {
    body: { nominalPrecharge20BarGauge: 50 },
    ifMatch: '"r1"',
  });
  await expectRecomputeToEqualStored(owner);

  // another version of a programme moves every vehicle that follows it
  const { items } = await owner.admin.ok<{ items: { id: string }[] }>(
    'get',
    `/v1/service-programmes/${programmeIds[1]!}/versions`,
  );
  await owner.admin.ok('post', `/v1/service-programmes/${programmeIds[1]!}/versions`, {
    body: {
      basedOn: items[0]!.id,
      rules: [{ code: 'fluid-change', task: 'fluid-change', everyMonths: 12 }],
      changeNote: 'shorter',
    },
  });
  // an hour at which the day is the same at every depot
  test.setNow(Date.parse('2026-11-26T10:30:00Z'));
  const before = await storedItems(owner);
  await publishLatest(owner, programmeIds[1]!, '2026-11-26');
  test.setNow(TEST_NOW);
  expect(await storedItems(owner)).not.toEqual(before);
  await expectRecomputeToEqualStored(owner);
});

it('a difference would be found', async () => {
  const owner = await Operator.of(test, 'Planted');
  await owner.follows([{ code: 'fluid-change', task: 'fluid-change', everyMonths: 24 }]);
  const depotId = await owner.depot(await owner.fleet('fleet'), 'depot');
  await owner.vehicle(depotId, 'P 1', { inServiceOn: '2025-01-01' });
  expect(await expectRecomputeToEqualStored(owner)).toBe(1);
  await owner.sql(`UPDATE vehicles SET in_service_on = '2025-01-02' WHERE organisation_id = $1`, [
    owner.organisationId,
  ]);
  await expect(expectRecomputeToEqualStored(owner)).rejects.toThrow('onlyRecomputed');
});

it('the order in which records arrive does not matter', async () => {
  const owner = await Operator.of(test, 'Orders');
  await publishProgramme(owner, 'starter').then((serviceProgrammeId) =>
    owner.admin.ok('put', '/v1/service-programmes/default', {
      body: { serviceProgrammeId },
      ifMatch: '"r1"',
    }),
  );
  const depotId = await owner.depot(await owner.fleet('fleet'), 'depot');

  // records that are all good, so that no judgement depends on what came before
  const record = fc.oneof(
    fc.record({ path: fc.constant('odometer-readings'), day }),
    fc.record({ path: fc.constant('task-completions'), day, task }),
    fc.record({ path: fc.constant('duty-changes'), day, dutyClass }),
    fc.record({ path: fc.constant('off-road-periods'), day }),
  );
  const history = fc.record({
    perDay: fc.integer({ min: 20, max: 200 }),
    // a day has one record of a kind, and no period touches another
    records: fc.uniqueArray(record, {
      minLength: 5,
      maxLength: 12,
      selector: (one) => `${one.path} ${Math.floor(one.day / 4)}`,
    }),
    seed: fc.integer(),
  });
  const bodyOf = (
    one: { path: string; day: number; task?: string; dutyClass?: string },
    perDay: number,
  ): object => {
    switch (one.path) {
      case 'odometer-readings':
        return {
          value: (one.day - FIRST) * perDay,
          readAt: `${onOf(one.day)}T12:00:00Z`,
          source: 'telematics',
        };
      case 'task-completions':
        return { task: one.task, doneOn: onOf(one.day) };
      case 'duty-changes':
        return { fromOn: onOf(one.day), dutyClass: one.dutyClass };
      default:
        return {
          fromOn: onOf(one.day - (one.day % 4)),
          untilOn: onOf(one.day - (one.day % 4) + 2),
          reason: 'gearbox',
        };
    }
  };
  let compared = 0;
  for (const [number, { perDay, records, seed }] of fc
    .sample(history, { seed: SEED, numRuns: 40 })
    .entries()) {
    const shuffled = fc.sample(fc.shuffledSubarray(records, { minLength: records.length }), {
      seed,
      numRuns: 1,
    })[0]!;
    const due: string[] = [];
    for (const [order, sequence] of [records, shuffled].entries()) {
      const vehicleId = await owner.vehicle(depotId, `O${number} ${order}`, { inServiceOn: onOf(FIRST) });
      for (const one of sequence) {
        const path = `/v1/vehicles/${vehicleId}/${one.path}`;
        const { status, text, body } = await send(test, 'POST', path, {
          key: owner.organisation.administratorKey,
          body: bodyOf(one, perDay),
        });
        expect([path, status, text]).toEqual([path, 201, text]);
        if (one.path === 'odometer-readings') expect(body).toMatchObject({ state: 'accepted' });
      }
      const items = await owner.sql<{ row: string }>(
        `SELECT concat_ws(' ', item_key, driver, early_on, due_on, late_on, details::text, reasoning::text) AS row
          FROM due_items WHERE vehicle_id = $1 ORDER BY item_key`,
        [vehicleId],
      );
      expect(items.length).toBeGreaterThan(0);
      due.push(items.map(({ row }) => row.replace(UUID, 'id')).join('\n'));
    }
    expect(due[1]).toBe(due[0]);
    if (records.some((one, index) => one !== shuffled[index])) compared += 1;
  }
  expect(compared).toBeGreaterThan(30);
});

const UUID = /[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}/g;

it('the demo fleet, imported from its files', async () => {
  const demo = tarnValleyFleet({ seed: 7, todayOn: '2026-11-25' });
  const owner = await Operator.of(test, demo.fleet.name);
  await test.app.listen(0, '127.0.0.1');
  const { port } = test.app.getHttpServer().address() as AddressInfo;
  const files = new ImportClient(`http://127.0.0.1:${port}`, owner.organisation.administratorKey);
  await startWork(test.app);
  const fleet = await owner.admin.ok<{ id: string }>('post', '/v1/fleets', { body: demo.fleet });
  for (const depot of demo.depots)
    await owner.admin.ok('post', '/v1/depots', { body: { ...depot, fleetId: fleet.id } });
  const serviceProgrammeId = await publishProgramme(owner, 'starter');
  await owner.admin.ok('put', '/v1/service-programmes/default', {
    body: { serviceProgrammeId },
    ifMatch: '"r1"',
  });
  const { types, gauges } = demo.gasUnits;
  for (const body of types) await owner.admin.ok('post', '/v1/gas-unit-types', { body });
  for (const body of gauges) await owner.admin.ok('post', '/v1/gauges', { body });
  for (const { name, text } of [...demo.files, ...demo.gasUnits.files]) {
    const done = await files.run(name.replace('.csv', '') as ImportKindName, text);
    expect([name, done.state]).toEqual([name, 'finished']);
  }
  expect(await expectRecomputeToEqualStored(owner)).toBeGreaterThan(400);
  await owner.admin.ok('post', '/v1/usage-models/refit', { body: { fleetId: fleet.id } });
  await owner.admin.ok('post', '/v1/precharge-models/refit', { body: {} });
  expect(await expectRecomputeToEqualStored(owner)).toBeGreaterThan(400);
});
