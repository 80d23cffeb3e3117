import { addDays, daysBetween, toEpochDay } from '../../src/core/shared/calendar-date';
import { demandOfItems, type StoredItem } from '../../src/modules/demand/demand-of-items';
import type { DemandDto, DemandFigureDto, MonthlyDemandDto } from '../../src/modules/demand/dto/demand.dto';
import { fallsDueOf } from '../../src/modules/demand/falls-due-of';
import { repeatsEveryDays } from '../../src/modules/demand/repeats-every-days';
import type { FleetDueItemDto } from '../../src/modules/due-items/dto/due-item.dto';
import { DueItemsService } from '../../src/modules/due-items/due-items.service';
import type { ProgrammeVersionDto } from '../../src/modules/service-programmes/dto/programme-version.dto';
import type { RuleDto } from '../../src/modules/service-programmes/dto/rule.dto';
import type { ServiceProgrammeDto } from '../../src/modules/service-programmes/dto/service-programme.dto';
import type { NewOrganisation } from '../../src/platform/database/create-organisation';
import { Transactions } from '../../src/platform/database/transactions';
import { systemPrincipal } from '../../src/platform/security/principal';
import { addKey, apiClient, asOwner, type ApiClient } from '../support/api-client';
import { startTestApp, type TestApp } from '../support/test-app';

let test: TestApp;
let organisation: NewOrganisation;
let api: ApiClient;
let fleets: { fleetId: string; depotId: string }[];
beforeAll(async () => {
  test = await startTestApp();
  organisation = await test.organisation('Tarn Valley Patient Transport');
  api = apiClient(test, organisation.administratorKey);
  fleets = await setUp();
});
afterAll(() => test.close());

const rules: RuleDto[] = [
  {
    code: 'filter-clean',
    task: 'filter-clean',
    everyMonths: 12,
    labourMinutes: 25,
    consumables: [{ item: 'reservoir-filter-seal', quantity: 1, unit: 'piece' }],
  },
  {
    code: 'fluid-change',
    task: 'fluid-change',
    everyKm: 60_000,
    labourMinutes: 90,
    consumables: [{ item: 'mineral-fluid', quantity: 5, unit: 'l' }],
  },
  { code: 'hose-inspection', task: 'hose-inspection', everyMonths: 24 },
  {
    code: 'recharge',
    task: 'recharge',
    scope: 'unit',
    positions: ['main-accumulator'],
    prechargeLimit: { shareOfNominal: 0.8 },
    labourMinutes: 45,
    consumables: [{ item: 'nitrogen', quantity: 0.03, unit: 'm³' }],
  },
];

async function setUp() {
  const programme = await api.ok<ServiceProgrammeDto>('post', '/v1/service-programmes', {
    body: { name: 'Minibuses', rules },
  });
  const version = `/v1/service-programmes/${programme.id}/versions/${programme.latestVersion?.id ?? ''}`;
  const { etag } = await api.call<ProgrammeVersionDto>('get', version);
  await api.ok('post', `${version}/publish`, { ifMatch: etag, body: { effectiveOn: '2026-11-25' } });
  const add = async (path: string, body: object): Promise<string> =>
    (await api.ok<{ id: string }>('post', path, { body })).id;
  const made = [];
  for (const name of ['Patient transport', 'School runs', 'Parcels', 'Reserve']) {
    const fleetId = await add('/v1/fleets', {
      name,
      ...(name === 'Reserve' ? {} : { serviceProgrammeId: programme.id }),
    });
    const depotId = await add('/v1/depots', { name, zone: 'Europe/London', fleetId });
    made.push({ fleetId, depotId });
  }
  return made;
}

let marks = 100;
async function vehicle(fleet: number, facts: object = {}): Promise<string> {
  marks += 1;
  const { id } = await api.ok<{ id: string }>('post', '/v1/vehicles', {
    body: {
      depotId: fleets[fleet]?.depotId,
      registrationMark: `TVP ${marks}`,
      dutyClass: 'normal',
      odometerUnit: 'km',
      inServiceOn: '2026-01-10',
      ...facts,
    },
  });
  return id;
}

const demand = (query: string): Promise<DemandDto> => api.ok<DemandDto>('get', `/v1/demand?${query}`);
const ofFleet = (fleet: number, query = ''): Promise<DemandDto> =>
  demand(`fleetId=${fleets[fleet]?.fleetId ?? ''}&${query}`);
const monthOf = ({ months }: DemandDto, month: string): MonthlyDemandDto =>
  months.find((each) => each.month === month)!;
const taskOf = (month: MonthlyDemandDto, task: string) => month.tasks.find((each) => each.task === task);
const sure = (count: number): DemandFigureDto => ({
  expected: count,
  low: count,
  high: count,
  band: 'exact',
});

/** Φ, by Abramowitz and Stegun 7.1.26: error below 1.5e-7. */
function normalCdf(x: number): number {
  const t = 1 / (1 + (0.3275911 * Math.abs(x)) / Math.SQRT2);
  const polynomial =
    t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))));
  const tail = (polynomial * Math.exp((-x * x) / 2)) / 2;
  return x < 0 ? tail : 1 - tail;
}
// the 90 % quantile of the standard normal distribution, from any table
const SCORE_90 = 1.2815515655;

describe('work with a known date', () => {
  it('counts in its month, every year again, with what it takes', async () => {
    await vehicle(0);
    await vehicle(0, { inServiceOn: '2026-01-20' });
    const answer = await ofFleet(0, 'months=15');
    expect(answer.months).toHaveLength(15);
    expect(answer.fromOn).toBe('2026-11-25');
    expect(answer.months[0]).toMatchObject({ month: '2026-11', fromOn: '2026-11-25', untilOn: '2026-12-01' });
    // by hand: a year from 2026-01-10 and 2026-01-20, and a year after that
    for (const { month, tasks, labourMinutes, consumables } of answer.months) {
      const count = ['2027-01', '2028-01'].includes(month) ? 2 : 0;
      expect(tasks).toContainEqual({ task: 'filter-clean', ...sure(count) });
      expect(labourMinutes.expected).toBe(25 * count);
      expect(consumables).toContainEqual({
        item: 'reservoir-filter-seal',
        unit: 'piece',
        ...sure(count),
      });
    }
    const inspection = monthOf(answer, '2028-01');
    expect(taskOf(inspection, 'hose-inspection')).toMatchObject(sure(2));
    expect(inspection.expectedWithoutLabour).toBe(2);
  });

  it('what is overdue by the first day is done in the first month', async () => {
    const answer = await ofFleet(0, 'from=2027-03-15&months=2');
    expect(answer.months.map((month) => taskOf(month, 'filter-clean')?.expected)).toEqual([2, 0]);
  });

  it('says what it leaves out', async () => {
    const { cannotBeTold, itemsCounted } = await ofFleet(0);
    // two vehicles, each with filter and hoses; nobody knows how far they go, nor which unit is fitted
    expect(itemsCounted).toBe(4);
    const gaps = new Map(cannotBeTold.map((gap) => [gap.code, gap]));
    expect(gaps.get('labour-not-stated')).toMatchObject({ items: 2 });
    expect(gaps.get('unit')?.sentence).toContain('Record which gas unit is fitted');
    expect([...gaps.keys()].some((code) => code.includes('odometer') || code.includes('reading'))).toBe(true);
  });
});

describe('work by distance', () => {
  it('counts with its probability of falling due', async () => {
    const vehicleId = await vehicle(1, { inServiceOn: '2025-01-10', inServiceOdometerKm: 0 });
    for (const [on, value] of [
      ['2025-07-10', 15_000],
      ['2026-01-10', 31_000],
      ['2026-07-10', 44_000],
      ['2026-11-10', 54_500],
    ] as const) {
      await api.ok('post', `/v1/vehicles/${vehicleId}/odometer-readings`, {
        body: { value, readAt: `${on}T09:00:00Z`, source: 'driver-sheet' },
      });
    }
    const { items } = await api.ok<{ items: FleetDueItemDto[] }>(
      'get',
      `/v1/vehicles/${vehicleId}/due-items`,
    );
    const item = items.find(({ key }) => key === 'fluid-change');
    const [earliestOn, dueOn, latestOn] = [item?.earliestOn ?? '', item?.dueOn ?? '', item?.latestOn ?? ''];
    expect(earliestOn < dueOn && dueOn < latestOn).toBe(true);
    // half a normal distribution on either side of the median, through the 10 % and the 90 % day
    const dueBy = (day: string): number => {
      const after = daysBetween(dueOn, day);
      const half = after < 0 ? daysBetween(earliestOn, dueOn) : daysBetween(dueOn, latestOn);
      return normalCdf((SCORE_90 * after) / half);
    };
    const answer = await ofFleet(1, 'months=8');
    let before = 0;
    for (const month of answer.months) {
      const by = dueBy(addDays(month.untilOn, -1));
      const task = taskOf(month, 'fluid-change');
      expect(task?.expected).toBeCloseTo(by - before, 5);
      // a single piece of work: done or not, by its probability (low at 5 %, high at 95 %)
      expect([task?.low, task?.high]).toEqual([by - before > 0.95 ? 1 : 0, by - before > 0.05 ? 1 : 0]);
      const fluid = month.consumables.find((each) => each.item === 'mineral-fluid');
      expect(fluid).toMatchObject({ unit: 'l', high: by - before > 0.05 ? 5 : 0 });
      expect(fluid?.expected).toBeCloseTo(5 * (by - before), 5);
      before = by;
    }
    expect(before).toBeGreaterThan(0.99);
  });
});

describe('recharges', () => {
  it('are counted by type of unit, with the nitrogen', async () => {
    const vehicleId = await vehicle(2);
    await fitUnit(vehicleId);
    const item = await rechargeOf(vehicleId);
    expect(item.driver).toBe('condition');
    const answer = await ofFleet(2, 'months=60');
    const recharges = answer.months.map((month) => taskOf(month, 'recharge')?.expected ?? NaN);
    const total = recharges.reduce((sum, each) => sum + each, 0);
    expect(total).toBeGreaterThan(0.4);
    expect(total).toBeLessThanOrEqual(1 + 1e-9);
    answer.months.forEach(({ units, consumables }, at) => {
      expect(units).toHaveLength(1);
      expect(units[0]).toMatchObject({ unitTypeCode: 'main-62' });
      expect(units[0]?.expected).toBeCloseTo(recharges[at] ?? NaN, 12);
      const nitrogen = consumables.find((each) => each.item === 'nitrogen');
      expect(nitrogen?.expected).toBeCloseTo(0.03 * (recharges[at] ?? NaN), 12);
    });
    // half of the probability lies before the median, which is the due day of this rule
    const byDue = answer.months
      .filter(({ untilOn }) => untilOn <= (item.dueOn ?? ''))
      .reduce((sum, month) => sum + (taskOf(month, 'recharge')?.expected ?? NaN), 0);
    expect(byDue).toBeLessThanOrEqual(0.5);
    expect(answer.cannotBeTold.map(({ code }) => code)).toContain('repetition-not-known');
  });

  async function fitUnit(vehicleId: string): Promise<void> {
    const { organisationId } = organisation;
    await asOwner(
      test,
      organisationId,
      `WITH type AS (
          INSERT INTO gas_unit_types (organisation_id, code, name, roles, nominal_precharge20_bar_gauge, gas_volume_cm3,
              damper_integral)
            VALUES ($1, 'main-62', 'sphere', '{main-accumulator}', 62, 400, false) RETURNING id
        ), unit AS (
          INSERT INTO gas_units (organisation_id, fleet_id, unit_type_id, serial_number)
            SELECT $1, $2, id, 'S1' FROM type RETURNING id
        ), placed AS (
          INSERT INTO unit_placements (organisation_id, fleet_id, unit_id, state, vehicle_id, position, from_at, moved_by)
            SELECT $1, $2, id, 'fitted', $3, 'main-accumulator', '2026-01-10T00:00:00Z', 'test' FROM unit
        )
        INSERT INTO gas_unit_events (organisation_id, fleet_id, unit_id, vehicle_id, position, kind, done_at,
            pressure_bar_gauge, gas_temperature_c, ambient_bar, precharge20_bar_gauge, ideal_precharge20_bar_gauge,
            outcome, outcome_reasons, limits, done_by)
          SELECT $1, $2, id, $3, 'main-accumulator', 'charge', '2026-01-15T09:00:00Z', 62, 20, 1.01325, 62, 62, 'passed',
            '[]', '{}', 'test' FROM unit`,
      [organisationId, fleets[2]?.fleetId, vehicleId],
    );
    const worker = systemPrincipal(organisationId, 'test');
    const dueItems = test.app.get(DueItemsService);
    await test.app.get(Transactions).run(worker, (tx) => dueItems.recompute(tx, worker, [vehicleId]));
  }

  async function rechargeOf(vehicleId: string): Promise<FleetDueItemDto> {
    const { items } = await api.ok<{ items: FleetDueItemDto[] }>(
      'get',
      `/v1/vehicles/${vehicleId}/due-items`,
    );
    return items.find(({ key }) => key.startsWith('recharge'))!;
  }
});

describe('whose work', () => {
  it('is narrowed to a fleet or a depot, and to what the key sees', async () => {
    const all = await demand('');
    const parts = await Promise.all([0, 1, 2, 3].map((fleet) => ofFleet(fleet)));
    expect(all.itemsCounted).toBe(parts.reduce((sum, { itemsCounted }) => sum + itemsCounted, 0));
    expect(await demand(`depotId=${fleets[0]?.depotId ?? ''}`)).toEqual(parts[0]);
    const scoped = apiClient(
      test,
      await addKey(test, organisation, 'fleet-planner', [fleets[0]?.fleetId ?? '']),
    );
    expect(await scoped.ok('get', '/v1/demand')).toEqual(parts[0]);
    const other = await test.organisation('Beck Side School Runs');
    const stranger = apiClient(test, other.administratorKey);
    expect(await stranger.ok('get', `/v1/demand?fleetId=${fleets[0]?.fleetId ?? ''}`)).toMatchObject({
      itemsCounted: 0,
      vehiclesWithoutItems: 0,
    });
  });

  it('vehicles without a programme are told', async () => {
    await vehicle(3);
    expect(await ofFleet(3)).toMatchObject({ itemsCounted: 0, vehiclesWithoutItems: 1, cannotBeTold: [] });
  });

  it.each([
    ['months=0', 'months'],
    ['months=61', 'months'],
    ['months=1.5', 'months'],
    ['from=2026-02-30', 'from'],
    ['fleetId=x', 'fleetId'],
    ['depotId=x', 'depotId'],
    ['until=2027-01-01', 'until'],
  ])('refuses %s', async (query, parameter) => {
    expect(await api.refused('get', `/v1/demand?${query}`)).toEqual([422, parameter]);
  });
});

describe('when an item falls due', () => {
  type Reasoning = StoredItem['reasoning'];
  const condition = (dueAtProbability: number, dates: object = {}): Reasoning['limits'][number] => ({
    kind: 'condition',
    limit20BarGauge: 50,
    shareOfNominal: 0.8,
    nominal20BarGauge: 62,
    dueAtProbability,
    earlyOn: null,
    dueOn: null,
    lateOn: null,
    earliestOn: null,
    latestOn: null,
    ...dates,
  });
  const item = (dates: object) => ({
    driver: 'condition' as const,
    earliestOn: null,
    dueOn: null,
    latestOn: null,
    ...dates,
  });

  it('at another probability than one half, the median is in between', () => {
    // by hand: the scores of 10 and 90 % are as far from that of 50 %
    const dates = { earliestOn: '2027-01-01', dueOn: '2027-01-01', latestOn: '2027-12-27' };
    expect(fallsDueOf(item(dates), { limits: [condition(0.1, dates)] }, null)).toEqual({
      kind: 'quantiles',
      earliestOn: '2027-01-01',
      medianOn: '2027-06-30',
      latestOn: '2027-12-27',
      horizonOn: null,
    });
    // a rule at 1 % is due before the 10 % day; by any table the scores are -2.3263, -1.2816 and 1.2816
    const early = { earliestOn: '2027-01-01', dueOn: '2027-01-01', latestOn: '2027-12-27' };
    const found = fallsDueOf(item(early), { limits: [condition(0.01, early)] }, null);
    const share = (score: number): number => Math.ceil((360 * (score + 2.326348)) / (1.281552 + 2.326348));
    expect(found).toMatchObject({
      earliestOn: addDays('2027-01-01', share(-1.281552)),
      medianOn: addDays('2027-01-01', share(0)),
      latestOn: '2027-12-27',
    });
  });

  it('another limit that comes first ends it', () => {
    const ofLimit = { earliestOn: '2027-01-01', dueOn: '2027-01-01', latestOn: '2027-12-27' };
    const ofItem = { earliestOn: '2027-01-01', dueOn: '2027-01-01', latestOn: '2027-03-01' };
    expect(fallsDueOf(item(ofItem), { limits: [condition(0.1, ofLimit)] }, null)).toMatchObject({
      medianOn: '2027-03-01',
      latestOn: '2027-03-01',
    });
  });

  it('beyond the forecast it needs the end of that', () => {
    const dates = { earliestOn: '2027-01-01', dueOn: '2029-01-01', latestOn: null };
    const limits = [condition(0.5, dates)];
    expect(fallsDueOf(item(dates), { limits }, '2026-01-15')).toMatchObject({
      medianOn: '2029-01-01',
      latestOn: null,
      // ten years
      horizonOn: addDays('2026-01-15', 3_650),
    });
    expect(fallsDueOf(item({}), { limits: [condition(0.5)] }, '2026-01-15')).toBeNull();
  });

  const reasoning = (limits: Reasoning['limits'], facts: Partial<Reasoning> = {}): Reasoning => ({
    baseline: { kind: 'none' },
    severity: null,
    tolerance: { earlyDays: 0, lateDays: 0, earlyKm: 0, lateKm: 0 },
    whichever: 'first',
    limits,
    occurrence: null,
    appliesFromOn: null,
    ...facts,
  });
  const none = { earlyOn: null, dueOn: null, lateOn: null, earliestOn: null, latestOn: null };
  const time = (scaledMonths: number, scaledDays = 0): Reasoning['limits'][number] => ({
    kind: 'time',
    months: scaledMonths,
    days: scaledDays,
    scaledMonths,
    scaledDays,
    byOn: null,
    ...none,
  });
  const distance = (scaled: number, perDay: number): Reasoning['limits'][number] => ({
    kind: 'distance',
    every: scaled,
    scaled,
    from: 0,
    dueTotal: scaled,
    projection: {
      how: 'forecast',
      from: { on: '2026-11-01', total: 0 },
      left: scaled,
      perDay,
      horizonDays: 1_000,
    },
    ...none,
  });
  const recurring = { kind: 'recurring' as const };

  it('repeats by the interval that ends first, or last', () => {
    const limits = [time(12), distance(30_000, 100)];
    // by hand: 12 months are 365.25 days, 30,000 km at 100 km a day are 300 days
    expect(repeatsEveryDays(recurring, reasoning(limits))).toBeCloseTo(300, 9);
    expect(repeatsEveryDays(recurring, reasoning(limits, { whichever: 'last' }))).toBeCloseTo(365.25, 9);
    expect(repeatsEveryDays(recurring, reasoning([distance(30_000, 0)]))).toBeNull();
    expect(repeatsEveryDays(recurring, reasoning([condition(0.5)]))).toBeNull();
    expect(repeatsEveryDays({ kind: 'campaign' }, reasoning(limits))).toBeNull();
    const first = {
      kind: 'in-service',
      on: '2026-01-10',
      firstInterval: true,
      distance: null,
      hours: null,
    } as const;
    expect(repeatsEveryDays(recurring, reasoning(limits, { baseline: first }))).toBeNull();
  });

  it('two thousand items over five years keep nobody waiting', () => {
    const stored = Array.from({ length: 2_000 }, (_, at): StoredItem => {
      const dueOn = addDays('2026-12-01', at % 700);
      const details = {
        key: `k${at}`,
        task: `task-${at % 12}`,
        kind: 'recurring',
        driver: 'distance',
        earliestOn: addDays(dueOn, -30),
        dueOn,
        latestOn: addDays(dueOn, 40),
        beyondHorizon: false,
        missing: [],
        labourMinutes: 5 * (1 + (at % 12)),
        consumables: [{ item: 'mineral-fluid', quantity: 0.5, unit: 'l' }],
      } as unknown as StoredItem['details'];
      return { details, reasoning: reasoning([time(12)]), unitTypeCode: null, lastMeasuredOn: null };
    });
    const { months } = demandOfItems(stored, '2026-11-25', 60);
    expect(months).toHaveLength(60);
    expect(toEpochDay(months[59]?.untilOn ?? '')).toBe(toEpochDay('2031-11-01'));
  });
});
