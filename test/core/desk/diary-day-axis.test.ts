import { axisOf, clipped, dayPeriod, quarterAt, shareOf } from '../../../src/desk/pages/diary/day-axis';

const LONDON = 'Europe/London';
const at = (text: string): number => Date.parse(text);
const period = (from: string, until: string) => ({ startsAt: at(from), endsAt: at(until) });
const HOUR = 3_600_000;

describe('the hours of a day', () => {
  it('are the full hours around all that happens on it', () => {
    const { startsAt, endsAt, hours } = axisOf('2026-12-01', LONDON, [
      period('2026-12-01T07:30:00Z', '2026-12-01T12:30:00Z'),
      period('2026-12-01T13:00:00Z', '2026-12-01T18:00:00Z'),
      // of another day
      period('2026-12-02T05:00:00Z', '2026-12-02T06:00:00Z'),
    ]);
    expect([startsAt, endsAt]).toEqual([at('2026-12-01T07:00:00Z'), at('2026-12-01T18:00:00Z')]);
    expect(hours).toHaveLength(11);
  });

  it('are those of an ordinary day where nothing happens', () => {
    const { startsAt, endsAt } = axisOf('2026-07-05', LONDON, []);
    expect([startsAt, endsAt]).toEqual([at('2026-07-05T07:00:00Z'), at('2026-07-05T17:00:00Z')]);
  });

  it('end with the day where work goes on overnight', () => {
    const night = period('2026-12-01T22:10:00Z', '2026-12-02T06:00:00Z');
    const { startsAt, endsAt } = axisOf('2026-12-01', LONDON, [night]);
    expect([startsAt, endsAt]).toEqual([at('2026-12-01T22:00:00Z'), at('2026-12-02T00:00:00Z')]);
  });

  // Directive 2000/84/EC: clocks change at 01:00 UTC on the last Sundays of March and October
  it.each([
    ['2026-03-29', 23],
    ['2026-10-25', 25],
    ['2026-10-26', 24],
  ])('%s has %i of them', (on, count) => {
    const day = dayPeriod(on, LONDON);
    expect((day.endsAt - day.startsAt) / HOUR).toBe(count);
    expect(axisOf(on, LONDON, [day]).hours).toHaveLength(count);
  });

  it('are full on the clock of a zone half an hour off', () => {
    const { startsAt } = axisOf('2026-12-01', 'Asia/Kolkata', [
      period('2026-12-01T03:45:00Z', '2026-12-01T08:00:00Z'),
    ]);
    // 09:15 there
    expect(startsAt).toBe(at('2026-12-01T03:30:00Z'));
  });
});

describe('a place on the axis', () => {
  const axis = period('2026-12-01T08:00:00Z', '2026-12-01T18:00:00Z');

  it('is a share of it, cut off at its ends', () => {
    expect(shareOf(period('2026-12-01T10:00:00Z', '2026-12-01T13:00:00Z'), axis)).toEqual({
      from: 0.2,
      length: 0.3,
    });
    expect(shareOf(period('2026-11-30T10:00:00Z', '2026-12-01T09:00:00Z'), axis)).toEqual({
      from: 0,
      length: 0.1,
    });
    expect(shareOf(period('2026-12-01T18:00:00Z', '2026-12-01T19:00:00Z'), axis)).toBeNull();
  });

  it('is read back as the nearest quarter of an hour', () => {
    expect(quarterAt(0.2, axis)).toBe(at('2026-12-01T10:00:00Z'));
    expect(quarterAt(0.212, axis)).toBe(at('2026-12-01T10:00:00Z'));
    expect(quarterAt(0.214, axis)).toBe(at('2026-12-01T10:15:00Z'));
  });

  it('has nothing in common with what only touches it', () => {
    expect(clipped(axis, period('2026-12-01T18:00:00Z', '2026-12-01T19:00:00Z'))).toBeNull();
  });
});
