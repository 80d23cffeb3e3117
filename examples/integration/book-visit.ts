import { expectData, type Api, type Schemas } from './api.ts';

type Booking = Schemas['BookingDto'];

/** Books an inspection of a vehicle at the first time that is free, and notes something on it afterwards. */
export async function bookVisit(api: Api, vehicleId: string, workshopId: string): Promise<Booking> {
  const work = { dueItemKeys: [], extraWork: [{ title: 'Look over the hydraulics', minutes: 60 }] };
  const { freeTimes } = expectData(
    await api.POST('/v1/free-times', { body: { vehicleId, workshopIds: [workshopId], ...work } }),
  );
  for (const { startsAt } of freeTimes) {
    const booked = await api.POST('/v1/bookings', { body: { vehicleId, workshopId, startsAt, ...work } });
    // somebody else was faster: the next one
    if (booked.error?.type === '/problems/slot-taken') continue;
    return annotate(api, expectData(booked).id);
  }
  throw new Error('nothing is free');
}

/** Changes a record that others may be changing, too: read, change what was read, begin again where it is not that any more. */
async function annotate(api: Api, bookingId: string): Promise<Booking> {
  const path = { bookingId };
  const note = 'sent by the integration example';
  for (;;) {
    const read = await api.GET('/v1/bookings/{bookingId}', { params: { path } });
    const booking = expectData(read);
    if (booking.note === note) return booking;
    const header = { 'If-Match': read.response.headers.get('etag') ?? '' };
    const changed = await api.PATCH('/v1/bookings/{bookingId}', { params: { path, header }, body: { note } });
    if (changed.error?.type !== '/problems/stale-version') return expectData(changed);
  }
}
