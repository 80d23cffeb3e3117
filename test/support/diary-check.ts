/** A booking as whoever made it was told. */
export interface SeenBooking {
  id: string;
  state: string;
  bayId: string;
  technicianIds: string[];
  vehicleId: string;
  bayFromAt: string;
  bayUntilAt: string;
  pieces: { startsAt: string; endsAt: string }[];
}

const TAKES_TIME = ['provisional', 'confirmed', 'arrived', 'in-work'];

/**
 * Everything that is wrong with a diary: bays, people and vehicles that two bookings have at once, and bookings that
 * somebody was promised and that are not there any more. Knows nothing of how the product stores or guards them.
 *
 * @param promised ids of bookings that are acknowledged as firm and that nobody cancelled
 */
export function faultsOfDiary(bookings: readonly SeenBooking[], promised: readonly string[]): string[] {
  const live = bookings.filter(({ state }) => TAKES_TIME.includes(state));
  const uses = live.flatMap((booking) => [
    { what: `bay ${booking.bayId}`, from: booking.bayFromAt, until: booking.bayUntilAt, id: booking.id },
    {
      what: `vehicle ${booking.vehicleId}`,
      from: booking.bayFromAt,
      until: booking.bayUntilAt,
      id: booking.id,
    },
    ...booking.technicianIds.flatMap((technician) =>
      booking.pieces.map(({ startsAt, endsAt }) => ({
        what: `technician ${technician}`,
        from: startsAt,
        until: endsAt,
        id: booking.id,
      })),
    ),
  ]);
  const faults: string[] = [];
  for (const what of new Set(uses.map((use) => use.what))) {
    const inOrder = uses
      .filter((use) => use.what === what)
      .sort((a, b) => Date.parse(a.from) - Date.parse(b.from));
    let last = inOrder[0];
    for (const use of inOrder.slice(1)) {
      if (last !== undefined && Date.parse(use.from) < Date.parse(last.until)) {
        faults.push(
          `${what} is in two bookings at once: ${last.id} until ${last.until}, ${use.id} from ${use.from}`,
        );
      }
      if (last === undefined || Date.parse(use.until) > Date.parse(last.until)) last = use;
    }
  }
  const known = new Set(live.map(({ id }) => id));
  for (const id of promised) if (!known.has(id)) faults.push(`booking ${id} was promised and is gone`);
  return faults;
}
