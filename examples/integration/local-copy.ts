import { expectData, type Api, type Schemas } from './api.ts';

type Vehicle = Schemas['VehicleDto'];
type Booking = Schemas['BookingDto'];
type Change = Schemas['ChangeDto'];

interface Kept<Dto> {
  records: Map<string, Dto>;
  /** changed, but the change did not tell everything */
  unread: Set<string>;
}

// fewer are read one by one, more by reading the list
const WORTH_A_LIST = 20;

/** A copy of all vehicles and bookings that the change feed keeps up to date. */
export class LocalCopy {
  readonly #api: Api;
  #after = 'now';
  changes = 0;
  readonly vehicles: Kept<Vehicle> = { records: new Map(), unread: new Set() };
  readonly bookings: Kept<Booking> = { records: new Map(), unread: new Set() };

  constructor(api: Api) {
    this.#api = api;
  }

  /** Where the feed stands is noted before anything is read, so that nothing falls between the two. */
  async begin(): Promise<void> {
    await this.#page(0);
    for (const vehicle of await allVehicles(this.#api)) this.vehicles.records.set(vehicle.id, vehicle);
    for (const booking of await allBookings(this.#api)) this.bookings.records.set(booking.id, booking);
  }

  /** Reads the feed to its present end, and answers how many changes there were. */
  async catchUp(): Promise<number> {
    let read = 0;
    for (let page = await this.#page(1); page > 0; page = await this.#page(1)) read += page;
    await this.#readUnread();
    this.changes += read;
    return read;
  }

  async #page(waitSeconds: number): Promise<number> {
    const query = { after: this.#after, limit: 500, wait: waitSeconds };
    const { data, error } = await this.#api.GET('/v1/changes', { params: { query } });
    // 410: changes that were not read are not kept any more; then everything is read again
    if (data === undefined && error.type === '/problems/no-longer-kept') {
      this.#after = 'now';
      await this.begin();
      return 0;
    }
    const { items, next } = expectData({ data, error });
    for (const change of items) this.#apply(change);
    // kept only now: whoever dies before reads the page again, which changes nothing
    this.#after = next;
    return items.length;
  }

  #apply({ subject, data }: Change): void {
    const [kind, id = ''] = subject.split('/');
    if (kind === 'vehicle') note(this.vehicles, id, data);
    if (kind === 'booking') note(this.bookings, id, data);
  }

  async #readUnread(): Promise<void> {
    if (this.vehicles.unread.size > WORTH_A_LIST) {
      for (const vehicle of await allVehicles(this.#api)) this.vehicles.records.set(vehicle.id, vehicle);
      this.vehicles.unread.clear();
    }
    for (const vehicleId of this.vehicles.unread) {
      const path = { vehicleId };
      const vehicle = expectData(await this.#api.GET('/v1/vehicles/{vehicleId}', { params: { path } }));
      this.vehicles.records.set(vehicleId, vehicle);
    }
    this.vehicles.unread.clear();
    for (const bookingId of this.bookings.unread) {
      const path = { bookingId };
      const booking = expectData(await this.#api.GET('/v1/bookings/{bookingId}', { params: { path } }));
      this.bookings.records.set(bookingId, booking);
    }
    this.bookings.unread.clear();
  }
}

/** Notes that a record has to be read, unless this revision of it has been read already. */
function note(kept: Kept<{ revision: number }>, id: string, data: Record<string, unknown>): void {
  const { revision } = data;
  const known = kept.records.get(id)?.revision ?? 0;
  if (typeof revision !== 'number' || revision > known) kept.unread.add(id);
}

export async function allVehicles(api: Api): Promise<Vehicle[]> {
  const vehicles: Vehicle[] = [];
  let cursor: string | undefined;
  do {
    const query = { limit: 500, cursor, includeRetired: true };
    const { items, next } = expectData(await api.GET('/v1/vehicles', { params: { query } }));
    vehicles.push(...items);
    cursor = next ?? undefined;
  } while (cursor !== undefined);
  return vehicles;
}

export async function allBookings(api: Api): Promise<Booking[]> {
  const bookings: Booking[] = [];
  let cursor: string | undefined;
  do {
    const { items, next } = expectData(
      await api.GET('/v1/bookings', { params: { query: { limit: 500, cursor } } }),
    );
    bookings.push(...items);
    cursor = next ?? undefined;
  } while (cursor !== undefined);
  return bookings;
}
