import type { TwoApiProcesses } from './two-api-processes';

/** Ids of a workshop with its bays, people and customers' vehicles. */
export interface WorkshopWorld {
  workshopId: string;
  bayIds: string[];
  technicianIds: string[];
  vehicleIds: string[];
}

interface Hours {
  weekday: number;
  windows: { from: string; until: string }[];
}

const ROUND_THE_CLOCK: Hours[] = [1, 2, 3, 4, 5, 6, 7].map((weekday) => ({
  weekday,
  windows: [{ from: '00:00', until: '24:00' }],
}));

/** @param size hours left out: it never shuts, so that only bookings stand in each other's way */
export async function makeWorkshop(
  two: Pick<TwoApiProcesses, 'made'>,
  {
    bays,
    technicians,
    vehicles,
    hours = ROUND_THE_CLOCK,
  }: { bays: number; technicians: number; vehicles: number; hours?: Hours[] },
): Promise<WorkshopWorld> {
  const idOf = async (path: string, body: object): Promise<string> =>
    (await two.made<{ id: string }>(path, body)).id;
  const workshopId = await idOf('/v1/workshops', {
    name: 'Upper Tarn workshop',
    zone: 'Europe/London',
    weeklyHours: hours,
    vehicleStay: 'not-at-all',
    minutesBefore: 0,
    minutesAfter: 0,
  });
  const bayIds: string[] = [];
  for (let i = 1; i <= bays; i++) {
    bayIds.push(
      await idOf(`/v1/workshops/${workshopId}/bays`, { name: `Bay ${i}`, kinds: ['lift', 'flat'] }),
    );
  }
  const technicianIds: string[] = [];
  for (let i = 1; i <= technicians; i++) {
    technicianIds.push(
      await idOf(`/v1/workshops/${workshopId}/technicians`, {
        name: `Technician ${i}`,
        competences: [{ code: 'hydraulics' }],
        shifts: hours,
      }),
    );
  }
  const fleetId = await idOf('/v1/fleets', { name: 'Patient transport' });
  const depotId = await idOf('/v1/depots', { fleetId, name: 'Upper Tarn', zone: 'Europe/London' });
  const vehicleIds: string[] = [];
  for (let i = 1; i <= vehicles; i++) {
    vehicleIds.push(
      await idOf('/v1/vehicles', {
        depotId,
        registrationMark: `TVP ${100 + i}`,
        dutyClass: 'normal',
        odometerUnit: 'km',
      }),
    );
  }
  return { workshopId, bayIds, technicianIds, vehicleIds };
}
