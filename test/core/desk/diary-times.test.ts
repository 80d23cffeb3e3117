import { awayTimes, outside, shiftsOn } from '../../../src/desk/pages/diary/shut-times';
import { outlookOf } from '../../../src/desk/pages/diary/in-hand';
import type { Booking } from '../../../src/desk/pages/diary/booking-words';

const LONDON = 'Europe/London';
const at = (text: string): number => Date.parse(text);
const period = (from: string, until: string) => ({ startsAt: at(from), endsAt: at(until) });
const day = period('2026-12-01T07:00:00Z', '2026-12-01T18:00:00Z');

it('is shut outside of the opening hours, with the reason', () => {
  const open = [
    period('2026-12-01T13:00:00Z', '2026-12-01T18:00:00Z'),
    period('2026-12-01T07:30:00Z', '2026-12-01T12:30:00Z'),
  ];
  expect(outside(day, open, 'Shut')).toEqual([
    { ...period('2026-12-01T07:00:00Z', '2026-12-01T07:30:00Z'), because: 'Shut' },
    { ...period('2026-12-01T12:30:00Z', '2026-12-01T13:00:00Z'), because: 'Shut' },
  ]);
  expect(outside(day, [], 'Boxing Day')).toEqual([{ ...day, because: 'Boxing Day' }]);
});

describe('shifts', () => {
  const shifts = [{ weekday: 2, windows: [{ from: '09:00', until: '17:00' }] }];

  it('are those of the weekday, on the clock of the workshop', () => {
    // Tuesdays in winter and in summer
    expect(shiftsOn({ shifts, shiftExceptions: [] }, '2026-12-01', LONDON)).toEqual([
      period('2026-12-01T09:00:00Z', '2026-12-01T17:00:00Z'),
    ]);
    expect(shiftsOn({ shifts, shiftExceptions: [] }, '2026-07-07', LONDON)).toEqual([
      period('2026-07-07T08:00:00Z', '2026-07-07T16:00:00Z'),
    ]);
    // of the Tuesday before nothing is left on a Wednesday
    expect(shiftsOn({ shifts, shiftExceptions: [] }, '2026-12-03', LONDON)).toEqual([]);
  });

  it('give way to those of the one day', () => {
    const off = { on: '2026-12-01', windows: [], note: 'course' };
    expect(shiftsOn({ shifts, shiftExceptions: [off] }, '2026-12-01', LONDON)).toEqual([]);
  });

  it('go on over midnight, and end with the day at 24:00', () => {
    const night = [{ weekday: 1, windows: [{ from: '22:00', until: '06:00' }] }];
    expect(shiftsOn({ shifts: night, shiftExceptions: [] }, '2026-12-01', LONDON)).toEqual([
      period('2026-11-30T22:00:00Z', '2026-12-01T06:00:00Z'),
    ]);
    const late = [{ weekday: 2, windows: [{ from: '16:00', until: '24:00' }] }];
    expect(shiftsOn({ shifts: late, shiftExceptions: [] }, '2026-12-01', LONDON)).toEqual([
      period('2026-12-01T16:00:00Z', '2026-12-02T00:00:00Z'),
    ]);
  });
});

it('says why somebody is away, as far as it is in the day', () => {
  const leave = { startsAt: '2026-11-30T00:00:00Z', endsAt: '2026-12-01T12:00:00Z', reason: 'leave' };
  const other = { startsAt: '2026-12-03T00:00:00Z', endsAt: '2026-12-04T00:00:00Z' };
  expect(awayTimes([leave, other], day, 'Absent')).toEqual([
    { ...period('2026-12-01T07:00:00Z', '2026-12-01T12:00:00Z'), because: 'leave' },
  ]);
  expect(awayTimes([{ ...leave, reason: null }], day, 'Absent')[0]?.because).toBe('Absent');
});

describe('what the diary says about a place', () => {
  const booking = (id: string, startsAt: string, endsAt: string, bayId: string, technicianId: string) =>
    ({
      id,
      startsAt,
      endsAt,
      bayFromAt: startsAt,
      bayUntilAt: endsAt,
      bayId,
      technicianIds: [technicianId],
      pieces: [{ startsAt, endsAt }],
      workMinutes: (at(endsAt) - at(startsAt)) / 60_000,
    }) as Booking;
  const own = booking('own', '2026-12-01T08:00:00Z', '2026-12-01T09:00:00Z', 'lift', 'ash');
  const inLift = booking('in-lift', '2026-12-01T10:00:00Z', '2026-12-01T11:00:00Z', 'lift', 'elm');
  const byAsh = booking('by-ash', '2026-12-01T14:00:00Z', '2026-12-01T15:00:00Z', 'flat', 'ash');
  const around = {
    bookings: [own, inLift, byAsh],
    open: [
      period('2026-12-01T08:00:00Z', '2026-12-01T12:00:00Z'),
      period('2026-12-01T13:00:00Z', '2026-12-01T17:00:00Z'),
    ],
    shut: [],
    minutesBefore: 10,
    minutesAfter: 5,
  };
  const outlook = (startsAt: string, bayId = 'lift') =>
    outlookOf(own, { startsAt: at(startsAt), bayId, technicianIds: ['ash'] }, around);

  it('is nothing where it stands, though it takes that itself', () => {
    expect(outlook('2026-12-01T08:00:00Z').taken).toEqual([]);
  });

  it('names who takes the bay, the minutes before and after included', () => {
    expect(outlook('2026-12-01T09:00:00Z').taken).toEqual([inLift]);
    expect(outlook('2026-12-01T08:56:00Z').taken).toEqual([inLift]);
    expect(outlook('2026-12-01T08:55:00Z').taken).toEqual([]);
    expect(outlook('2026-12-01T09:00:00Z', 'flat').taken).toEqual([]);
  });

  it('names what else the people do', () => {
    expect(outlook('2026-12-01T13:30:00Z').taken).toEqual([byAsh]);
  });

  it('lets work rest over a break, and says where nothing can begin', () => {
    expect(outlook('2026-12-01T11:30:00Z').period.endsAt).toBe(at('2026-12-01T13:30:00Z'));
    expect([outlook('2026-12-01T11:30:00Z').shut, outlook('2026-12-01T12:00:00Z').shut]).toEqual([
      false,
      true,
    ]);
  });
});
