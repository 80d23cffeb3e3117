import { DUE_STATES, type DueState } from '../../core/due/state';
import type { ExplainedDueItemDto, FleetDueItemDto } from '../../modules/due-items/dto/due-item.dto';
import type { HeldVehicleDto } from '../../modules/holds/dto/vehicle-hold.dto';
import type { FleetOdometerReadingDto } from '../../modules/odometer-readings/dto/odometer-reading.dto';
import type { UsageModelDto } from '../../modules/usage-models/dto/usage-model.dto';
import type { ApiClient } from '../api-client';
import { textTable } from '../text-table';
import { heading } from './heading';

const ROWS_SHOWN = 40;

/** What a fleet planner gets, in the order in which they would ask. */
export async function showDueWork(api: ApiClient): Promise<void> {
  const items = await api.getAll<FleetDueItemDto>('/v1/due-items?limit=500');
  showCoverage(await api.getAll<UsageModelDto>('/v1/usage-models'));
  showDueList(items);
  await showReasonings(api, items);
  showHolds(await api.getAll<HeldVehicleDto>('/v1/holds?limit=500'));
  showQuarantine(
    await api.getAll<FleetOdometerReadingDto>('/v1/odometer-readings?state=quarantined&limit=500'),
  );
  showUndetermined(items);
}

function showCoverage(models: readonly UsageModelDto[]): void {
  heading('How well the odometer forecast holds on this fleet (back-test on its own past)');
  const share = (value: number | null | undefined): string =>
    value === null || value === undefined ? '-' : `${(100 * value).toFixed(0)} %`;
  const rows = models
    .filter(({ meter }) => meter === 'odometer')
    .flatMap((model) =>
      model.coverage.map(({ horizonDays, trials, held }, index) => [
        model.dutyClass,
        String(model.vehicles),
        `${horizonDays} days`,
        String(trials),
        share(model.coverageBefore[index]?.held),
        share(held),
        model.measuredOn,
      ]),
    );
  console.log('Nominal: 80 % of what came lies within the interval that was forecast.');
  console.log(
    textTable(['duty class', 'vehicles', 'ahead', 'checked', 'default model', 'fitted', 'measured on'], rows),
  );
}

const dash = (text: string | null | undefined): string => text ?? '-';

function whereAndWhat(item: FleetDueItemDto): string {
  return item.position === null ? item.title : `${item.title}, ${item.position.replaceAll('-', ' ')}`;
}

function why(item: FleetDueItemDto): string {
  const parts = [item.driver === null ? 'cannot be told' : item.driver];
  if (item.driver === 'distance' && item.dueOdometerKm !== null)
    parts.push(`at ${Math.round(item.dueOdometerKm)} km`);
  if (item.earliestOn !== null && item.earliestOn !== item.latestOn) {
    parts.push(`between ${item.earliestOn} and ${dash(item.latestOn)}`);
  }
  if (item.safetyCritical) parts.push('safety-critical');
  if (item.partial) parts.push('not all limits can be told');
  return parts.join(', ');
}

function showDueList(items: readonly FleetDueItemDto[]): void {
  heading('What is due');
  const counts = (state: DueState): number => items.filter((item) => item.state === state).length;
  console.log(
    `${items.length} items: ${DUE_STATES.map((state) => `${counts(state)} ${state}`).join(', ')}\n`,
  );
  const pressing = items.filter(({ state }) => state === 'overdue' || state === 'due');
  console.log(
    textTable(
      ['vehicle', 'what', 'state', 'from', 'due', 'at the latest', 'why'],
      pressing
        .slice(0, ROWS_SHOWN)
        .map((item) => [
          item.registrationMark,
          whereAndWhat(item),
          item.state,
          dash(item.earlyOn),
          dash(item.dueOn),
          dash(item.lateOn),
          why(item),
        ]),
    ),
  );
  if (pressing.length > ROWS_SHOWN) {
    console.log(
      `... and ${pressing.length - ROWS_SHOWN} more that are due or overdue (GET /v1/due-items?state=overdue,due)`,
    );
  }
}

/** Three of different kinds: a distance that is still to come, a safety test that is late, a vehicle's first service. */
async function showReasonings(api: ApiClient, items: readonly FleetDueItemDto[]): Promise<void> {
  heading('Three of them in full, to be redone on paper');
  const chosen = [
    items.find(({ driver, state }) => driver === 'distance' && state === 'due-soon'),
    items.find(({ safetyCritical, state }) => safetyCritical && state === 'overdue'),
    items.find(({ registrationMark, task }) => registrationMark === 'TVP 107' && task === 'fluid-change') ??
      items.find(({ partial }) => partial),
  ];
  for (const item of chosen) {
    if (item === undefined) throw new Error('the demo fleet has no item of a kind that it was made to have');
    const { explanation } = await api.get<ExplainedDueItemDto>(`/v1/due-items/${item.id}`);
    console.log(`\n${item.registrationMark}: ${whereAndWhat(item)}`);
    for (const line of explanation) console.log(`  ${line}`);
  }
}

function showHolds(vehicles: readonly HeldVehicleDto[]): void {
  heading('On hold: do not release to the road');
  for (const { registrationMark, reasons } of vehicles) {
    for (const { text } of reasons) console.log(`  ${registrationMark}: ${text}`);
  }
  console.log(
    "\n  A hold is advice: the vehicle maker's manual, local law and a licensed person decide. Fluid at these" +
      '\n  pressures penetrates skin; an injection injury looks small and is a surgical emergency.',
  );
}

function showQuarantine(readings: readonly FleetOdometerReadingDto[]): void {
  heading('Odometer readings that no due date was moved by, until a person decides');
  for (const { registrationMark, value, unit, readAt, source, suspicions, suggestedValue } of readings) {
    console.log(`\n  ${registrationMark}, ${readAt.slice(0, 10)}, ${source}: ${value} ${unit}`);
    for (const { explanation } of suspicions) console.log(`    ${explanation}`);
    if (suggestedValue !== null) console.log(`    Likely: ${suggestedValue} ${unit}.`);
  }
}

const MARKS_SHOWN = 12;

function showUndetermined(items: readonly FleetDueItemDto[]): void {
  heading('What could not be told, and what is missing');
  const facts = new Map<string, { sentences: Set<string>; marks: Set<string> }>();
  for (const item of items.filter(({ state, partial }) => state === 'undetermined' || partial)) {
    for (const { code, sentence } of item.missing) {
      const fact = facts.get(code) ?? { sentences: new Set(), marks: new Set() };
      facts.set(code, fact);
      fact.sentences.add(sentence.replace(/\.$/, ''));
      fact.marks.add(item.registrationMark);
    }
  }
  for (const { sentences, marks } of [...facts.values()].sort((a, b) => b.marks.size - a.marks.size)) {
    const [first = ''] = sentences;
    const alike = sentences.size > 1 ? ` (and ${sentences.size - 1} more of the kind)` : '';
    const shown = [...marks].sort().slice(0, MARKS_SHOWN).join(', ');
    const rest = marks.size > MARKS_SHOWN ? ` and ${marks.size - MARKS_SHOWN} more` : '';
    console.log(`  ${first}${alike}: ${shown}${rest}`);
  }
}
