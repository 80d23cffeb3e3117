import { Operator } from './operator';
import type { TestApp } from './test-app';

const HOUR = 3_600_000;

/** A stay in the workshop; times in hours after the epoch of the test. */
export interface Stay {
  cause?: 'failure' | 'planned';
  /** arrival, for which it was booked as well unless said otherwise; null: it never came */
  from: number | null;
  /** release; null: none */
  until: number | null;
  worked?: [from: number, until: number][] | null;
  state?: string;
  bookedFor?: number;
  /** start of the work; left out, the arrival */
  startedAt?: number;
  /** cancelled or missed */
  closedAt?: number;
  provisionalUntil?: number;
}

/** An operator with a workshop and stays in it as the bookings leave them, with times that no clock has to run for. */
export class WorkshopStays {
  private marks = 100;

  private constructor(
    readonly operator: Operator,
    readonly fleetId: string,
    readonly depotId: string,
    readonly workshopId: string,
    private readonly bayId: string,
    private readonly technicianId: string,
    private readonly epoch: number,
  ) {}

  static async of(test: TestApp, epoch: number): Promise<WorkshopStays> {
    const operator = await Operator.of(test, 'Tarn Valley Patient Transport');
    const add = async (path: string, body: object): Promise<string> =>
      (await operator.admin.ok<{ id: string }>('post', path, { body })).id;
    const fleetId = await operator.fleet('patient transport');
    const depotId = await operator.depot(fleetId, 'Upper Tarn');
    const workshop = { name: 'Upper Tarn workshop', zone: 'Europe/London', weeklyHours: [] };
    const workshopId = await add('/v1/workshops', workshop);
    const bayId = await add(`/v1/workshops/${workshopId}/bays`, { name: 'Lift', kinds: ['lift'] });
    const technician = { name: 'Alder', competences: [], shifts: [] };
    const technicianId = await add(`/v1/workshops/${workshopId}/technicians`, technician);
    return new WorkshopStays(operator, fleetId, depotId, workshopId, bayId, technicianId, epoch);
  }

  vehicle(inServiceOn: string | null = '2024-01-01', depotId = this.depotId): Promise<string> {
    return this.operator.vehicle(depotId, `TVP ${(this.marks += 1)}`, { inServiceOn });
  }

  at(hours: number): string {
    return new Date(this.epoch + hours * HOUR).toISOString();
  }

  async stay(vehicleId: string, stay: Stay): Promise<void> {
    const { cause = 'failure', from, until, worked = null, closedAt, provisionalUntil } = stay;
    const at = (hours: number | null | undefined) => (hours == null ? null : this.at(hours));
    const periods = worked?.map(([start, end]) => ({
      technicianId: this.technicianId,
      startsAt: at(start),
      endsAt: at(end),
    }));
    await this.operator.sql(
      `INSERT INTO bookings (organisation_id, fleet_id, vehicle_id, workshop_id, bay_id, technician_ids, state,
          starts_at, ends_at, bay_from_at, bay_until_at, pieces, work, work_minutes, minutes_before, minutes_after, cause,
          booked_by, arrived_at, work_started_at, work_periods, released_at, closed_at, provisional_until)
        SELECT $1, fleet_id, id, $3, $4, ARRAY[$5::uuid], $6, $7, $7::timestamptz + interval '1 hour', $7,
            $7::timestamptz + interval '1 hour', '[]', '{"items": [], "extra": []}', 60, 0, 0, $8, 'test', $9, $10, $11,
            $12, $13, $14
          FROM vehicles WHERE id = $2`,
      [
        this.operator.organisationId,
        vehicleId,
        this.workshopId,
        this.bayId,
        this.technicianId,
        stay.state ?? (until === null ? 'in-work' : 'collected'),
        at(stay.bookedFor ?? from),
        cause,
        at(from),
        at(stay.startedAt ?? (closedAt === undefined ? from : null)),
        periods === undefined ? null : JSON.stringify(periods),
        at(until),
        at(closedAt),
        at(provisionalUntil),
      ],
    );
  }
}
