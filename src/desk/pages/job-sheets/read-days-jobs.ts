import { answered, api, everyItem } from '../../api/client';
import { registrationMarks } from '../../api/registration-marks';
import { dayOf, jobsInOrder, type Job } from './todays-jobs';

/** What a workshop has to do on a day. */
export async function readDaysJobs(
  { id: workshopId, zone }: { id: string; zone: string },
  on: string,
  technicianId: string | null,
): Promise<Job[]> {
  const ofWorkshop = { path: { workshopId } };
  const [bookings, bays, technicians] = await Promise.all([
    everyItem((cursor) =>
      answered(
        api.GET('/v1/bookings', {
          params: { query: { workshopId, ...dayOf(on, zone), cursor, limit: 500 } },
        }),
      ),
    ),
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
  ]);
  const marks = await registrationMarks(bookings.map(({ vehicleId }) => vehicleId));
  const jobs = await Promise.all(
    bookings.map(async (booking): Promise<Job> => {
      const { id: bookingId, vehicleId, technicianIds, state } = booking;
      const sheets = ['in-work', 'finished', 'arrived'].includes(state)
        ? await answered(api.GET('/v1/job-sheets', { params: { query: { bookingId, limit: 1 } } }))
        : { items: [] };
      return {
        booking,
        jobSheetId: sheets.items[0]?.id ?? null,
        registrationMark: marks.get(vehicleId) ?? '',
        bayName: bays.find(({ id }) => id === booking.bayId)?.name ?? '',
        people: technicians.filter(({ id }) => technicianIds.includes(id)).map(({ name }) => name),
        isMine: technicianId !== null && technicianIds.includes(technicianId),
      };
    }),
  );
  return jobsInOrder(jobs);
}
