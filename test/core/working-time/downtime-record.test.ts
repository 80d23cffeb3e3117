import fc from 'fast-check';
import { InputError } from '../../../src/core/shared/input-error';
import {
  downtimeMinutes,
  joinFailures,
  type WorkshopStay,
} from '../../../src/core/working-time/downtime-record';
import type { Downtime } from '../../../src/core/working-time/maintenance-indicators';

const MINUTE = 60_000;
const END = 60;
const minutes = Array.from({ length: END }, (_, minute) => minute);

interface Span {
  startsAt: number;
  endsAt: number;
}

const inMs = ({ startsAt, endsAt }: Span): Span => ({ startsAt: startsAt * MINUTE, endsAt: endsAt * MINUTE });
const covers =
  ({ startsAt, endsAt }: Span) =>
  (minute: number) =>
    startsAt <= minute && minute < endsAt;
const anySpan = fc
  .tuple(fc.integer({ min: 0, max: END - 1 }), fc.integer({ min: 1, max: 20 }))
  .map(([startsAt, length]): Span => ({ startsAt, endsAt: Math.min(startsAt + length, END) }));

function stay(more: Partial<WorkshopStay>): WorkshopStay {
  return { arrivedAt: 0, releasedAt: null, workStartedAt: null, workPeriods: null, ...more };
}

describe('the minutes of a stay', () => {
  test('are those of a count minute by minute', () => {
    fc.assert(
      fc.property(anySpan, fc.array(anySpan, { maxLength: 6 }), (down, worked) => {
        const { startsAt: arrivedAt, endsAt: releasedAt } = inMs(down);
        const found = downtimeMinutes(
          stay({ arrivedAt, releasedAt, workStartedAt: arrivedAt, workPeriods: worked.map(inMs) }),
          END * MINUTE,
        );
        const stayed = minutes.filter(covers(down));
        const people = stayed.map((minute) => worked.filter((period) => covers(period)(minute)).length);
        expect(found).toEqual({
          totalMinutes: stayed.length,
          activeMinutes: people.filter((count) => count > 0).length,
          waitingMinutes: people.filter((count) => count === 0).length,
          labourMinutes: people.reduce((sum, count) => sum + count, 0),
        });
      }),
      { numRuns: 2_000 },
    );
  });

  test('are never negative, whatever the moments, and add up', () => {
    const moment = fc.integer({ min: 0, max: END * MINUTE });
    const maybe = fc.option(moment);
    const periods = fc.option(fc.array(anySpan.map(inMs), { maxLength: 4 }));
    fc.assert(
      fc.property(
        moment,
        maybe,
        maybe,
        periods,
        moment,
        (arrivedAt, until, workStartedAt, workPeriods, nowAt) => {
          const releasedAt = until === null ? null : Math.max(until, arrivedAt);
          const found = downtimeMinutes({ arrivedAt, releasedAt, workStartedAt, workPeriods }, nowAt);
          for (const minutesOfIt of Object.values({ ...found }))
            expect(minutesOfIt).toBeGreaterThanOrEqual(0);
          expect(found.activeMinutes + found.waitingMinutes).toBeCloseTo(found.totalMinutes, 9);
          expect(found.labourMinutes).toBeGreaterThanOrEqual(found.activeMinutes - 1e-9);
        },
      ),
      { numRuns: 2_000 },
    );
  });

  test('go on while the vehicle is down, with one person from the start of the work', () => {
    const open = stay({ arrivedAt: 10 * MINUTE, workStartedAt: 25 * MINUTE });
    expect(downtimeMinutes(open, 40 * MINUTE)).toEqual({
      totalMinutes: 30,
      activeMinutes: 15,
      waitingMinutes: 15,
      labourMinutes: 15,
    });
    // held after the job was signed off: nobody works any more
    const held = { ...open, workPeriods: [inMs({ startsAt: 25, endsAt: 30 })] };
    expect(downtimeMinutes(held, 40 * MINUTE)).toMatchObject({ activeMinutes: 5, waitingMinutes: 25 });
  });

  test('are none where the clock that wrote down the arrival was ahead', () => {
    const none = { totalMinutes: 0, activeMinutes: 0, waitingMinutes: 0, labourMinutes: 0 };
    expect(downtimeMinutes(stay({ arrivedAt: MINUTE }), 0)).toEqual(none);
  });

  test('are refused for a release before the arrival', () => {
    expect(() => downtimeMinutes(stay({ arrivedAt: MINUTE, releasedAt: 0 }), END * MINUTE)).toThrow(
      InputError,
    );
  });
});

describe('failures', () => {
  const down = (cause: Downtime['cause'], startsAt: number, endsAt: number): Downtime => ({
    cause,
    startsAt,
    endsAt,
  });

  test('that touch or overlap are one, whatever the order; planned stays remain as they are', () => {
    const planned = [down('planned', 0, 10), down('planned', 10, 20)];
    expect(
      joinFailures([down('failure', 30, 40), ...planned, down('failure', 20, 30), down('failure', 35, 50)]),
    ).toEqual([...planned, down('failure', 20, 50)]);
  });

  test('with a release between them are two', () => {
    const two = [down('failure', 0, 10), down('failure', 11, 20)];
    expect(joinFailures(two)).toEqual(two);
  });

  test('are down in the same minutes as before', () => {
    const stays = fc.array(fc.tuple(fc.constantFrom('failure', 'planned'), anySpan), { maxLength: 8 });
    fc.assert(
      fc.property(stays, (drawn) => {
        const before = drawn.map(([cause, span]): Downtime => ({ cause, ...span }));
        const after = joinFailures(before);
        for (const cause of ['failure', 'planned'] as const) {
          const of = (downtimes: Downtime[]) => downtimes.filter((downtime) => downtime.cause === cause);
          const downIn = (downtimes: Downtime[]) =>
            minutes.filter((minute) => of(downtimes).some((downtime) => covers(downtime)(minute)));
          expect(downIn(after)).toEqual(downIn(before));
        }
        const failures = after.filter(({ cause }) => cause === 'failure');
        expect(failures.every(({ startsAt }, i) => i === 0 || failures[i - 1]!.endsAt < startsAt)).toBe(true);
      }),
    );
  });
});
