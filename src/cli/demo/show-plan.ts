import { setTimeout } from 'node:timers/promises';
import type { DepotDto } from '../../modules/depots/dto/depot.dto';
import type {
  DowntimePlanDto,
  PlanComparisonDto,
  PlanFiguresDto,
  PlanProgressDto,
} from '../../modules/downtime-plans/dto/downtime-plan.dto';
import type {
  PlannedItemDto,
  PlannedVisitDto,
  PlanViewsDto,
} from '../../modules/downtime-plans/dto/planned-visit.dto';
import type { VehicleDto } from '../../modules/vehicles/dto/vehicle.dto';
import type { ApiClient } from '../api-client';
import { textTable } from '../text-table';
import type { FilledWorkshop } from './fill-diary';
import { heading } from './heading';

const DAYS = 90;
/** Share of a depot's vehicles that its roster needs on a weekday, and at the weekend. */
const WEEKDAY_NEED = 0.75;
const WEEKEND_NEED = 0.5;
const LOOK_EVERY_MS = 300;

/** Plans the off-road days of the fleet, shows what that saves and why it is so, tries a technician more, and accepts. */
export async function showPlan(api: ApiClient, workshops: readonly FilledWorkshop[]): Promise<void> {
  heading(`The next ${DAYS} days: off-road days that keep every depot running`);
  const depots = await api.getAll<DepotDto>('/v1/depots');
  const [{ fleetId } = { fleetId: '' }] = depots;
  await recordRosters(api, depots, workshops);
  const plan = await made(api, { fleetId, days: DAYS, effort: 'quick', name: 'Next quarter' });
  showFigures(plan);
  await showAvailability(api, plan);
  await showReasons(api, plan);
  await showWhatIf(api, plan, workshops);
  await accept(api, plan);
}

async function recordRosters(
  api: ApiClient,
  depots: readonly DepotDto[],
  workshops: readonly FilledWorkshop[],
): Promise<void> {
  const vehicles = await api.getAll<VehicleDto>('/v1/vehicles?limit=500');
  for (const { id, externalKey } of depots) {
    const count = vehicles.filter(({ depotId }) => depotId === id).length;
    const [weekday, weekend] = [WEEKDAY_NEED, WEEKEND_NEED].map((share) => Math.floor(share * count)) as [
      number,
      number,
    ];
    const neededByWeekday = {
      monday: weekday,
      tuesday: weekday,
      wednesday: weekday,
      thursday: weekday,
      friday: weekday,
      saturday: weekend,
      sunday: weekend,
    };
    await put(api, `/v1/depots/${id}/roster`, { neededByWeekday, exceptions: [] });
    const ways = workshops.map(({ workshop, demo }) => {
      const isNear = demo.depotKeys.includes(externalKey ?? '');
      return {
        workshopId: workshop.id,
        transferMinutes: isNear ? 15 : 50,
        transferCostMinor: isNear ? 1_500 : 6_000,
      };
    });
    await put(api, `/v1/depots/${id}/workshop-reach`, { workshops: ways });
  }
}

async function put(api: ApiClient, path: string, body: object): Promise<void> {
  const { revision } = await api.get<{ revision: number }>(path);
  await api.send('PUT', path, body, `"r${revision}"`);
}

async function made(api: ApiClient, body: object): Promise<DowntimePlanDto> {
  const { id } = await api.send<DowntimePlanDto>('POST', '/v1/downtime-plans', body);
  await untilOver(api, id);
  const plan = await api.get<DowntimePlanDto>(`/v1/downtime-plans/${id}`);
  if (plan.outcome === null || plan.state !== 'ready')
    throw new Error(`the plan is ${plan.state}: ${plan.failure ?? JSON.stringify(plan.outcome?.conflicts)}`);
  return plan;
}

async function untilOver(api: ApiClient, planId: string): Promise<void> {
  for (;;) {
    const { state } = await api.get<PlanProgressDto>(`/v1/downtime-plans/${planId}/progress`);
    if (state !== 'queued' && state !== 'running' && state !== 'accepting') return;
    await setTimeout(LOOK_EVERY_MS);
  }
}

function showFigures({ outcome }: DowntimePlanDto): void {
  if (outcome === null) return;
  const { plan, naive, booked, currency, gapPercent, conflicts } = outcome;
  const money = (minor: number): string => (minor / 100).toFixed(0);
  const rows: [string, (figures: PlanFiguresDto) => string][] = [
    ['visits', ({ visits }) => String(visits)],
    ['off-road days', ({ offRoadDays }) => String(offRoadDays)],
    ['items done', ({ itemsDone }) => String(itemsDone)],
    ['items left out', ({ itemsLeftOut }) => String(itemsLeftOut)],
    ['items too late', ({ itemsTooLate }) => String(itemsTooLate)],
    ['days late, over all items', ({ daysLate }) => String(daysLate)],
    [`cost, ${currency}`, ({ costMinor }) => money(costMinor)],
    [
      `cost without what is left out, ${currency}`,
      (figures) => money(figures.costMinor - figures.leftOutCostMinor),
    ],
  ];
  console.log(
    textTable(
      ['', 'plan', 'item by item', 'booked so far'],
      rows.map(([name, of]) => [name, of(plan), of(naive), of(booked)]),
    ),
  );
  console.log(`No plan within the limits is more than ${gapPercent.toFixed(1)} % cheaper; that is proven.`);
  const [conflict] = conflicts;
  if (conflict !== undefined)
    console.log(
      `${conflicts.length} pieces of work cannot be done in time whatever is planned, such as ${conflict.registrationMark}, ${conflict.wanted}: ${conflict.facts.join(' ')}`,
    );
}

/** A character for each working day: how many vehicles more than needed stay on the road. */
async function showAvailability(api: ApiClient, { id }: DowntimePlanDto): Promise<void> {
  const { depots } = await api.get<PlanViewsDto>(`/v1/downtime-plans/${id}/views`);
  console.log('\nVehicles to spare on weekdays with the plan, a character a day (+ for ten and more):');
  const widest = Math.max(...depots.map(({ name }) => name.length));
  for (const { name, days, depotId } of depots) {
    const spare = days
      .filter(({ on }) => new Date(on).getUTCDay() % 6 !== 0)
      .map(({ vehicles, neededOnRoad, offRoadAfter }) => vehicles - offRoadAfter - neededOnRoad);
    console.log(
      `  ${name.padEnd(widest)}  ${spare.map((each) => (each < 0 ? '!' : each > 9 ? '+' : each)).join('')}`,
    );
    console.log(
      `  ${''.padEnd(widest)}  as a picture: /v1/downtime-plans/${id}/depots/${depotId}/availability.svg`,
    );
  }
}

async function showReasons(api: ApiClient, { id }: DowntimePlanDto): Promise<void> {
  console.log('\nWhy is it not on the day it is due?');
  for (const reason of ['left-out', 'runs-short', 'cheaper-this-way']) {
    const { items } = await api.get<{ items: PlannedItemDto[] }>(
      `/v1/downtime-plans/${id}/items?reason=${reason}&limit=1`,
    );
    for (const { registrationMark, title, dueOn, plannedOn, because } of items)
      console.log(
        `  ${registrationMark}: ${title}, due ${dueOn}, planned for ${plannedOn ?? 'no day'}. ${because}`,
      );
  }
}

async function showWhatIf(
  api: ApiClient,
  plan: DowntimePlanDto,
  [near]: readonly FilledWorkshop[],
): Promise<void> {
  if (near === undefined) return;
  const { workshop } = near;
  const assumptions = [
    { kind: 'more-technicians', workshopId: workshop.id, count: 1, competences: ['hydraulics', 'brakes'] },
  ];
  const other = await made(api, { basedOnId: plan.id, name: 'A technician more', assumptions });
  const { difference, currency } = await api.get<PlanComparisonDto>(
    `/v1/downtime-plans/${other.id}/comparison?withId=${plan.id}`,
  );
  const signed = (value: number, digits = 0): string => `${value > 0 ? '+' : ''}${value.toFixed(digits)}`;
  console.log(
    `\nWith a technician more at ${workshop.name}: ${currency} ${signed(difference.costMinor / 100)}, ` +
      `${signed(difference.visits)} visits, ${signed(difference.itemsTooLate)} items too late, ` +
      `${signed(difference.daysLate)} days late.`,
  );
}

async function accept(api: ApiClient, { id, revision }: DowntimePlanDto): Promise<void> {
  await api.send('POST', `/v1/downtime-plans/${id}/acceptance`, {}, `"r${revision}"`);
  await untilOver(api, id);
  const visits = await api.getAll<PlannedVisitDto>(`/v1/downtime-plans/${id}/visits?limit=500`);
  const refused = visits.filter(({ acceptance }) => acceptance === 'refused');
  console.log(`\nAccepted: ${visits.length - refused.length} of ${visits.length} visits are bookings now.`);
  const [first] = refused;
  if (first !== undefined)
    console.log(
      `${refused.length} found no single gap in the diary, such as ${first.registrationMark} on ${first.on}: ${first.refusal ?? ''}`,
    );
  if (refused.length > 0) {
    const again = await made(api, { basedOnId: id, name: 'What was refused, planned again' });
    console.log(`Planned again for what is left: ${again.outcome?.plan.visits ?? 0} visits.`);
  }
}
