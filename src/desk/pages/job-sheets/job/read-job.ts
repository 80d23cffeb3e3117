import { answered, api, everyItem, ifMatch } from '../../../api/client';
import type { JobPorts } from './job-store';
import type { JobPlace } from './job-place';
import type { Sheet } from './kept-job';

export function readSheet(jobSheetId: string): Promise<Sheet> {
  return answered(api.GET('/v1/job-sheets/{jobSheetId}', { params: { path: { jobSheetId } } }));
}

/** Everything else that the page of a job shows. */
export async function readPlace({ bookingId, vehicleId, workshopId }: Sheet): Promise<JobPlace> {
  const ofWorkshop = { path: { workshopId } };
  const [booking, vehicle, workshop, bays, technicians, gauges] = await Promise.all([
    answered(api.GET('/v1/bookings/{bookingId}', { params: { path: { bookingId } } })),
    answered(api.GET('/v1/vehicles/{vehicleId}', { params: { path: { vehicleId } } })),
    answered(api.GET('/v1/workshops/{workshopId}', { params: ofWorkshop })),
    everyItem((cursor) =>
      answered(
        api.GET('/v1/workshops/{workshopId}/bays', {
          params: { ...ofWorkshop, query: { cursor, limit: 500 } },
        }),
      ),
    ),
    everyItem((cursor) =>
      answered(
        api.GET('/v1/workshops/{workshopId}/technicians', {
          params: { ...ofWorkshop, query: { cursor, limit: 500 } },
        }),
      ),
    ),
    everyItem((cursor) => answered(api.GET('/v1/gauges', { params: { query: { cursor, limit: 500 } } }))),
  ]);
  const { startsAt, endsAt, technicianIds, note } = booking;
  const { registrationMark, fleetNumber, odometerUnit } = vehicle;
  return {
    registrationMark,
    fleetNumber,
    odometerUnit,
    workshopName: workshop.name,
    zone: workshop.zone,
    signOffCompetence: workshop.signOffCompetence,
    bayName: bays.find(({ id }) => id === booking.bayId)?.name ?? '',
    startsAt,
    endsAt,
    technicianIds,
    note,
    technicians: technicians.map(({ id, name, retiredOn, competences }) => ({
      id,
      name,
      retiredOn,
      competences: competences.map(({ code, lastOn }) => ({ code, lastOn: lastOn ?? null })),
    })),
    gauges: gauges
      .filter(({ retiredOn }) => retiredOn === null)
      .map(({ id, code, name, calibrationDueOn }) => ({ id, code, name, calibrationDueOn })),
  };
}

/** How a job reaches the service. */
export function requestsOf(jobSheetId: string): Pick<JobPorts, 'read' | 'store' | 'complete'> {
  const path = { jobSheetId };
  return {
    read: () => readSheet(jobSheetId),
    store: (revision, body) =>
      answered(
        api.PATCH('/v1/job-sheets/{jobSheetId}', { params: { path, header: ifMatch({ revision }) }, body }),
      ),
    complete: ({ key, revision, body }) =>
      answered(
        api.POST('/v1/job-sheets/{jobSheetId}/completion', {
          params: { path, header: { ...ifMatch({ revision }), 'Idempotency-Key': key } },
          body,
        }),
      ),
  };
}
