import { addDays, localDateAt } from '../../core/shared/calendar-date';
import { SeededRandom } from '../../core/shared/seeded-random';
import type { BookingDto } from '../../modules/bookings/dto/booking.dto';
import type { FreeTimesDto } from '../../modules/bookings/dto/free-times.dto';
import type { DepotDto } from '../../modules/depots/dto/depot.dto';
import type { VehicleDto } from '../../modules/vehicles/dto/vehicle.dto';
import type { BayDto } from '../../modules/workshops/dto/bay.dto';
import type { TechnicianDto } from '../../modules/workshops/dto/technician.dto';
import type { WorkshopOpeningDto } from '../../modules/workshops/dto/workshop-opening.dto';
import type { WorkshopDto } from '../../modules/workshops/dto/workshop.dto';
import type { ApiClient } from '../api-client';
import { TARN_VALLEY_WORKSHOPS, type DemoWorkshop } from './tarn-valley/workshops';

const WEEKDAYS = [1, 2, 3, 4, 5];
const DAYS_FILLED = 14;
const WANTED_LOAD = 0.75;

/** Work that has nothing to do with the hydraulics: it is what fills a diary. */
const OTHER_WORK = [
  { title: 'Overhaul of the patient compartment', minutes: 420, competences: [], bayKind: 'flat' },
  { title: 'Stretcher fittings and belts', minutes: 150, competences: [], bayKind: 'flat' },
  { title: 'Wheel-chair ramp: yearly examination', minutes: 120, competences: [], bayKind: 'flat' },
  { title: 'Brake pads and discs', minutes: 180, competences: ['brakes'], bayKind: 'lift' },
  {
    title: 'Height correctors: linkage and bushes',
    minutes: 240,
    competences: ['hydraulics'],
    bayKind: 'lift',
  },
  { title: 'Body repair', minutes: 480, competences: [], bayKind: 'flat' },
] as const;

export interface FilledWorkshop {
  workshop: WorkshopDto;
  demo: DemoWorkshop;
  bays: BayDto[];
  technicians: TechnicianDto[];
  bookings: number;
  /** bay minutes taken ÷ bay minutes open, over the days that were filled */
  load: number;
}

/** Sets the two workshops up and books other work into them until three quarters of their bay time is taken. */
export async function fillDiary(api: ApiClient, seed: number): Promise<FilledWorkshop[]> {
  const depots = await api.getAll<DepotDto>('/v1/depots');
  const vehicles = await api.getAll<VehicleDto>('/v1/vehicles?limit=500');
  const filled: FilledWorkshop[] = [];
  for (const [index, demo] of TARN_VALLEY_WORKSHOPS.entries()) {
    const made = await createWorkshop(api, demo);
    const depotIds = depots
      .filter(({ externalKey }) => demo.depotKeys.includes(externalKey ?? ''))
      .map(({ id }) => id);
    const customers = vehicles.filter(({ depotId }) => depotIds.includes(depotId));
    filled.push({ ...made, demo, ...(await fill(api, made, customers, new SeededRandom(seed + index))) });
  }
  return filled;
}

async function createWorkshop(
  api: ApiClient,
  demo: DemoWorkshop,
): Promise<Pick<FilledWorkshop, 'workshop' | 'bays' | 'technicians'>> {
  const { externalKey, name, zone, holidayRegion, vehicleStay, weekdays, saturday } = demo;
  const workshop = await api.send<WorkshopDto>('POST', '/v1/workshops', {
    externalKey,
    name,
    zone,
    holidayRegion,
    vehicleStay,
    minutesBefore: 10,
    minutesAfter: 5,
    signOffCompetence: 'hydraulics',
    weeklyHours: [
      ...WEEKDAYS.map((weekday) => ({ weekday, windows: weekdays })),
      ...(saturday.length === 0 ? [] : [{ weekday: 6, windows: saturday }]),
    ],
  });
  const path = `/v1/workshops/${workshop.id}`;
  const bays: BayDto[] = [];
  for (const bay of demo.bays) bays.push(await api.send<BayDto>('POST', `${path}/bays`, bay));
  const technicians: TechnicianDto[] = [];
  for (const { name: person, competences, shift } of demo.technicians) {
    const [from, until] = shift;
    technicians.push(
      await api.send<TechnicianDto>('POST', `${path}/technicians`, {
        name: person,
        competences: competences.map((code) => ({ code })),
        shifts: WEEKDAYS.map((weekday) => ({ weekday, windows: [{ from, until }] })),
      }),
    );
  }
  return { workshop, bays, technicians };
}

async function fill(
  api: ApiClient,
  { workshop, bays }: Pick<FilledWorkshop, 'workshop' | 'bays'>,
  customers: readonly VehicleDto[],
  random: SeededRandom,
): Promise<Pick<FilledWorkshop, 'bookings' | 'load'>> {
  const fromOn = localDateAt(Date.now(), workshop.zone);
  const openMinutes =
    bays.length * (await minutesOpen(api, workshop.id, addDays(fromOn, 1), addDays(fromOn, DAYS_FILLED)));
  const tomorrowAt = Date.parse(`${addDays(fromOn, 1)}T00:00:00Z`);
  let [taken, bookings] = [0, 0];
  for (let tries = 0; taken < WANTED_LOAD * openMinutes && tries < 400; tries++) {
    const vehicle = customers[random.integer(0, customers.length - 1)];
    const work = OTHER_WORK[random.integer(0, OTHER_WORK.length - 1)];
    if (vehicle === undefined || work === undefined) break;
    const wanted = { vehicleId: vehicle.id, dueItemKeys: [], extraWork: [work] };
    const from = tomorrowAt + random.integer(0, (DAYS_FILLED - 2) * 24) * 3_600_000;
    const { freeTimes } = await api.send<FreeTimesDto>('POST', '/v1/free-times', {
      ...wanted,
      workshopIds: [workshop.id],
      fromAt: new Date(from).toISOString(),
      untilAt: new Date(tomorrowAt + DAYS_FILLED * 86_400_000).toISOString(),
      count: 1,
    });
    const [slot] = freeTimes;
    if (slot === undefined) continue;
    const booking = await api.send<BookingDto>('POST', '/v1/bookings', {
      ...wanted,
      workshopId: workshop.id,
      startsAt: slot.startsAt,
      bayId: slot.bayId,
      technicianIds: slot.technicians.map(({ id }) => id),
    });
    bookings += 1;
    taken += booking.workMinutes + 15;
  }
  return { bookings, load: taken / openMinutes };
}

async function minutesOpen(
  api: ApiClient,
  workshopId: string,
  fromOn: string,
  untilOn: string,
): Promise<number> {
  const { days } = await api.get<WorkshopOpeningDto>(
    `/v1/workshops/${workshopId}/opening?fromOn=${fromOn}&untilOn=${untilOn}`,
  );
  return days
    .flatMap(({ windows }) => windows)
    .reduce((sum, { startsAt, endsAt }) => sum + (Date.parse(endsAt) - Date.parse(startsAt)) / 60_000, 0);
}
