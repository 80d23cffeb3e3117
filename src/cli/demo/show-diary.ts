import type { BookingDto } from '../../modules/bookings/dto/booking.dto';
import type { FreeTimesDto } from '../../modules/bookings/dto/free-times.dto';
import type { VehicleDueItemsDto } from '../../modules/due-items/dto/due-item.dto';
import type { CompletedJobDto, JobSheetDto, SheetStepDto } from '../../modules/job-sheets/dto/job-sheet.dto';
import type { StepEntryDto } from '../../modules/job-sheets/dto/write-job-sheet.dto';
import type { VehicleDto } from '../../modules/vehicles/dto/vehicle.dto';
import type { ApiClient } from '../api-client';
import { textTable } from '../text-table';
import type { FilledWorkshop } from './fill-diary';
import { heading } from './heading';

const HALF_AN_HOUR = 1_800_000;

/** The front desk's call, then the technician's day with a release and a hold. */
export async function showDiary(api: ApiClient, workshops: readonly FilledWorkshop[]): Promise<void> {
  showWorkshops(workshops);
  const [near] = workshops;
  if (near === undefined) throw new Error('the demo has no workshop');
  const [caller, second, third] = await vehiclesToCallAbout(api, near);
  if (caller === undefined || second === undefined || third === undefined)
    throw new Error('the demo fleet has no three vehicles with work due');
  await showCall(api, workshops, caller);
  heading("The technician's day");
  await showJob(api, near, second, 'released');
  await showJob(api, near, third, 'held');
}

function showWorkshops(workshops: readonly FilledWorkshop[]): void {
  heading('The workshops, and how full their diaries are for the next two weeks');
  console.log(
    textTable(
      ['workshop', 'zone', 'bays', 'people', 'bookings', 'bay time taken'],
      workshops.map(({ workshop, bays, technicians, bookings, load }) => [
        workshop.name,
        workshop.zone,
        String(bays.length),
        String(technicians.length),
        String(bookings),
        `${(100 * load).toFixed(0)} %`,
      ]),
    ),
  );
}

/** Vehicles of a workshop's depots that owe hydraulic work now and are not on hold. */
async function vehiclesToCallAbout(api: ApiClient, { demo }: FilledWorkshop): Promise<VehicleDto[]> {
  const depots = await api.getAll<{ id: string; externalKey: string | null }>('/v1/depots');
  const depotIds = depots
    .filter(({ externalKey }) => demo.depotKeys.includes(externalKey ?? ''))
    .map(({ id }) => id);
  const vehicles = await api.getAll<VehicleDto>('/v1/vehicles?limit=500');
  const due = await api.getAll<{ vehicleId: string; task: string }>(
    '/v1/due-items?state=overdue,due,due-soon&limit=500',
  );
  const held = new Set(
    (await api.getAll<{ vehicleId: string }>('/v1/holds?limit=500')).map(({ vehicleId }) => vehicleId),
  );
  return vehicles.filter(
    ({ id, depotId }) =>
      depotIds.includes(depotId) &&
      !held.has(id) &&
      due.some(({ vehicleId, task }) => vehicleId === id && task === 'fluid-change'),
  );
}

async function showCall(
  api: ApiClient,
  workshops: readonly FilledWorkshop[],
  { registrationMark, id }: VehicleDto,
): Promise<void> {
  heading('A caller is on the line');
  const part = registrationMark.slice(-3);
  const [vehicle] = await api.getAll<VehicleDto>(`/v1/vehicles?search=${encodeURIComponent(part)}`);
  console.log(`"...${part}, I think." It is ${vehicle?.registrationMark ?? registrationMark}.`);
  const answer = await api.send<FreeTimesDto>('POST', '/v1/free-times', { vehicleId: id, count: 4 });
  console.log(`Due or nearly due, ${answer.job.workMinutes} minutes in all:`);
  for (const { title, position, minutes } of answer.items)
    console.log(
      `  ${title}${position === null ? '' : `, ${position.replaceAll('-', ' ')}`} (${minutes} min)`,
    );
  console.log('The first free times, at both workshops:');
  for (const { inWords, workshopName, bayName, technicians } of answer.freeTimes)
    console.log(
      `  ${inWords}: ${workshopName}, ${bayName}, ${technicians.map(({ name }) => name).join(' and ')}`,
    );
  if (answer.nothingFree !== null)
    console.log(
      `  ${answer.nothingFree.sentence} First: ${answer.nothingFree.firstFit?.inWords ?? 'not within half a year'}.`,
    );
  const worthwhile = answer.suggestions.filter((each) => each.worthwhile);
  if (worthwhile.length > 0) console.log('Worth doing at the same visit:');
  for (const { title, sentence } of worthwhile.slice(0, 3)) console.log(`  ${title}. ${sentence}`);

  const slot = answer.freeTimes[0] ?? answer.nothingFree?.firstFit;
  if (slot === undefined || slot === null) throw new Error('the demo found no time for the caller');
  const wanted = {
    vehicleId: id,
    workshopId: slot.workshopId,
    startsAt: slot.startsAt,
    bayId: slot.bayId,
    technicianIds: slot.technicians.map((each) => each.id),
    contact: 'transport office, ward 7',
  };
  const held = await api.send<BookingDto>('POST', '/v1/bookings', { ...wanted, holdMinutes: 15 });
  console.log(`Held for 15 minutes while the caller thinks: ${slot.inWords}.`);
  const firm = await api.send<BookingDto>('POST', `/v1/bookings/${held.id}/confirmation`, {}, '"r1"');
  const zone = workshops.find(({ workshop }) => workshop.id === slot.workshopId)?.workshop.zone ?? '';
  console.log(`"That suits us." The booking is ${firm.state} (${zone}).`);
}

/** The vehicle comes at once, and is released or held by what the technician finds. */
async function showJob(
  api: ApiClient,
  { workshop, technicians, demo }: FilledWorkshop,
  { id: vehicleId, registrationMark, odometerUnit }: VehicleDto,
  wanted: 'released' | 'held',
): Promise<void> {
  const before = await api.get<VehicleDueItemsDto>(`/v1/vehicles/${vehicleId}/due-items`);
  const keys = before.items
    .filter(({ state }) => ['overdue', 'due', 'due-soon'].includes(state))
    .map(({ key }) => key);
  const all = { vehicleId, dueItemKeys: keys, workshopIds: [workshop.id], count: 1 };
  const { freeTimes, nothingFree } = await api.send<FreeTimesDto>('POST', '/v1/free-times', all);
  const slot = freeTimes[0] ?? nothingFree?.firstFit;
  if (slot === undefined || slot === null) throw new Error(`the demo found no time for ${registrationMark}`);
  const booking = await api.send<BookingDto>('POST', '/v1/bookings', {
    vehicleId,
    dueItemKeys: keys,
    workshopId: workshop.id,
    startsAt: slot.startsAt,
  });
  const at = (ago: number): { at: string } => ({ at: new Date(Date.now() - ago).toISOString() });
  await api.send('POST', `/v1/bookings/${booking.id}/arrival`, at(4 * HALF_AN_HOUR), '"r1"');
  await api.send('POST', `/v1/bookings/${booking.id}/work-start`, at(3 * HALF_AN_HOUR), '"r2"');
  const sheet = await api.send<JobSheetDto>('POST', `/v1/bookings/${booking.id}/job-sheet`, {});
  console.log(`\n${registrationMark}: the job sheet`);
  for (const step of sheet.steps) console.log(`  ${lineOf(step)}`);
  for (const { title, because } of sheet.leftOut) console.log(`  (left out: ${title}. ${because})`);
  console.log(`  ${sheet.cautions.length} cautions, the first: ${sheet.cautions[0]?.text ?? ''}`);

  const signer = technicians.find(({ name }) => name === demo.technicians[0]?.name);
  const odometer = await presentOdometer(api, vehicleId);
  const done = await api.send<CompletedJobDto>(
    'POST',
    `/v1/job-sheets/${sheet.id}/completion`,
    {
      signedOffBy: signer?.id,
      entries: sheet.steps.flatMap((step) => entryOf(step, odometer, wanted)),
      partsUsed: sheet.consumables,
    },
    `"r${sheet.revision}"`,
  );
  if (done.decision !== wanted)
    throw new Error(`${registrationMark} was to be ${wanted}: ${done.reasons.join(' ')}`);
  console.log(`  Completed by ${signer?.name ?? ''}, odometer ${odometer ?? 'not read'} ${odometerUnit}.`);
  console.log(`  ${done.decision === 'released' ? 'RELEASED to the road.' : 'HELD, not to go to the road:'}`);
  for (const reason of done.reasons) console.log(`    ${reason}`);
  console.log('  Due before and after:');
  console.log(
    textTable(
      ['    what', 'before', 'after'],
      done.moved.map(({ title, position, dueOnBefore, dueOnAfter }) => [
        `    ${title}${position === null ? '' : `, ${position.replaceAll('-', ' ')}`}`,
        dueOnBefore ?? '-',
        dueOnAfter ?? '-',
      ]),
    ),
  );
}

function lineOf({ title, position, instructions, why, safetyCritical }: SheetStepDto): string {
  const where = position === null ? '' : `, ${position.replaceAll('-', ' ')}`;
  const marks = [safetyCritical ? 'safety-critical' : '', why === 'release-check' ? 'before release' : ''];
  const shown = marks.filter((mark) => mark !== '').join(', ');
  return `- ${title}${where}${shown === '' ? '' : ` (${shown})`}${instructions.length === 0 ? '' : `: ${instructions.at(-1) ?? ''}`}`;
}

async function presentOdometer(api: ApiClient, vehicleId: string): Promise<number | null> {
  const { items } = await api.get<{ items: { value: number; meter: string; state: string }[] }>(
    `/v1/vehicles/${vehicleId}/odometer-readings?limit=50`,
  );
  const latest = items.find(({ meter, state }) => meter === 'odometer' && state === 'accepted');
  return latest === undefined ? null : Math.round(latest.value) + 12;
}

/** What the technician types in: everything in order, but for one figure where the vehicle is to be held. */
function entryOf(step: SheetStepDto, odometer: number | null, wanted: 'released' | 'held'): StepEntryDto[] {
  const { key, kind, task, unit, required } = step;
  if (kind === 'odometer-reading')
    return [odometer === null ? { key, notDone: 'instrument dark' } : { key, odometer }];
  if (kind === 'inspection') return required ? [{ key, notDone: 'no time today' }] : [];
  if (kind === 'task') return [{ key, outcome: 'done' }];
  if (kind === 'precharge-test' || kind === 'charge') {
    if (unit === null) return [{ key, notDone: 'no unit recorded' }];
    const share = kind === 'charge' ? 1 : 0.92;
    return [
      { key, pressureBarGauge: Number((share * unit.nominal20BarGauge).toFixed(1)), gasTemperatureC: 20 },
    ];
  }
  switch (task) {
    case 'low-pressure-warning-test':
      return [{ key, warningBarGauge: wanted === 'held' ? 62 : 88 }];
    case 'brake-reserve-test':
      return [{ key, applicationsUntilWarning: 12, startBarGauge: 140 }];
    case 'cut-in-cut-out-reading':
      return [{ key, cutInBarGauge: 140, cutOutBarGauge: 170 }];
    case 'regulator-cycle-test':
      return [
        {
          key,
          chargeSeconds: 4,
          idleSeconds: 40,
          pumpDeliveryLPerMin: 2.8,
          cutInBarGauge: 140,
          cutOutBarGauge: 170,
        },
      ];
    case 'anti-sink-hold-test':
      return [{ key, hours: 10, frontLossMm: 4, rearLossMm: 5 }];
    default:
      return [{ key, notDone: "left to the maker's workshop manual" }];
  }
}
