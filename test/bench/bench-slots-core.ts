import { fromEpochDay, toEpochDay } from '../../src/core/shared/calendar-date';
import { instantAtLocalTime } from '../../src/core/shared/local-time';
import { SeededRandom } from '../../src/core/shared/seeded-random';
import { lengthMs, type Period } from '../../src/core/working-time/instant-set';
import { prepareDiary, type Diary } from '../../src/core/working-time/prepare-diary';
import { searchDiary } from '../../src/core/working-time/search-diary';
import type { DiaryQuestion, Workshop } from '../../src/core/working-time/workshop';
import { quantile } from '../../src/core/shared/statistics-quantile';
import type { Figure } from './figures';

export const ZONE = 'Europe/London';
export const FIRST_ON = '2026-02-02';
export const DAYS = 90;
const BAYS = 50;
const TECHNICIANS = 60;
const QUESTIONS = 600;
const KINDS = ['lift', 'lift', 'pit', 'pit', 'gas-bench', 'flat'];
const COMPETENCES = ['hydraulics', 'pressure-vessels', 'brakes', 'electrics'];
const MINUTE = 60_000;

/** The first five slots in three months of a full diary: the search, and beside it the search and the preparation. */
export function benchSlotsCore(): Promise<Figure[]> {
  const fromAt = instantAtLocalTime(FIRST_ON, '00:00', ZONE);
  const untilAt = instantAtLocalTime(fromEpochDay(toEpochDay(FIRST_ON) + DAYS), '00:00', ZONE);
  const { workshop, bookings, filled } = fullWorkshop(fromAt, untilAt);
  const questions = variedQuestions(fromAt, untilAt);
  const prepare = (): Diary => prepareDiary([workshop], fromAt, untilAt);
  const diary = prepare();
  const answered = questions.filter((question) => searchDiary(diary, question).length > 0).length;
  if (answered < 0.7 * QUESTIONS) throw new Error(`only ${answered} of ${QUESTIONS} questions have a slot`);

  const search = millisecondsFor(questions, () => diary);
  millisecondsFor(questions.slice(0, 100), prepare);
  const whole = millisecondsFor(questions, prepare);
  const figure = (key: string, probability: number): Figure => ({
    key,
    value: quantile(search, probability),
    unit: 'ms',
    comparison:
      `first 5 in ${DAYS} days, ${BAYS} bays ${(100 * filled).toFixed(1)} % full, ${TECHNICIANS} technicians; ` +
      `with preparing ${bookings} bookings ${quantile(whole, probability).toFixed(2)} ms`,
  });
  return Promise.resolve([figure('slots_p50_ms', 0.5), figure('slots_p99_ms', 0.99)]);
}

function millisecondsFor(questions: readonly DiaryQuestion[], diaryFor: () => Diary): number[] {
  return questions.map((question) => {
    const start = process.hrtime.bigint();
    searchDiary(diaryFor(), question);
    return Number(process.hrtime.bigint() - start) / 1e6;
  });
}

export function variedQuestions(fromAt: number, untilAt: number): DiaryQuestion[] {
  const random = new SeededRandom(4);
  return Array.from({ length: QUESTIONS }, (_, i) => ({
    job: {
      minutes: 30 * random.integer(1, 8),
      bayKinds: i % 5 === 0 ? [] : [KINDS[random.integer(0, KINDS.length - 1)] ?? 'flat'],
      needed: COMPETENCES.filter(() => random.next() < 0.4).map((code) => ({ competences: [code] })),
      separatePeople: i % 7 === 0,
      minutesBefore: null,
      minutesAfter: null,
    },
    fromAt,
    untilAt,
    count: 5,
    vehicleBusy: Array.from({ length: random.integer(0, 20) }, () => {
      const startsAt = fromAt + random.integer(0, DAYS) * 24 * 60 * MINUTE;
      return { startsAt, endsAt: startsAt + random.integer(1, 48) * 60 * MINUTE };
    }),
  }));
}

/**
 * Each bay is filled hour by hour with jobs of an hour to four; a share of the time stays free in between.
 * A job takes the first technician in a random order who is free.
 */
export function fullWorkshop(
  fromAt: number,
  untilAt: number,
): { workshop: Workshop; bookings: number; filled: number } {
  const random = new SeededRandom(3);
  const bays = Array.from({ length: BAYS }, (_, i) => ({
    id: `bay ${i}`,
    kinds: [KINDS[i % KINDS.length] ?? 'flat'],
    closures: [],
    busy: [] as Period[],
  }));
  const technicians = Array.from({ length: TECHNICIANS }, (_, i) => ({
    id: `technician ${i}`,
    competences: COMPETENCES.filter((_code, c) => (i + c) % 3 !== 0).map((code) => ({ code, untilOn: null })),
    shifts: i % 4 === 0 ? EARLY_WEEK : WEEK,
    shiftExceptions: [],
    absences: i % 6 === 0 ? [weekFrom(random.integer(fromAt, untilAt))] : [],
    busy: [] as Period[],
  }));
  const workshop: Workshop = {
    id: 'workshop',
    opening: { zone: ZONE, weekly: WEEK, holidaysOn: ['2026-04-03', '2026-04-06'] },
    bays,
    technicians,
    minutesBefore: 0,
    minutesAfter: 0,
    vehicleStay: 'over-breaks',
    gridMinutes: 15,
  };
  const [prepared] = prepareDiary([workshop], fromAt, untilAt).workshops;
  if (prepared === undefined) throw new Error('no workshop');
  const { open } = prepared;
  const freeCells = technicians.map((technician) =>
    cellsOf(prepared.people.find((person) => person.technician === technician)?.free ?? [], fromAt),
  );
  let [taken, bookings] = [0, 0];
  for (let i = 0; i < open.length; i += 2) {
    const until = ((open[i + 1] ?? 0) - fromAt) / CELL_MS;
    for (const bay of bays) {
      let cell = ((open[i] ?? 0) - fromAt) / CELL_MS;
      while (cell < until) {
        const cells = Math.min(JOB_CELLS[random.integer(0, JOB_CELLS.length - 1)] ?? 4, until - cell);
        const first = random.integer(0, TECHNICIANS - 1);
        const person =
          random.next() < FREE_SHARE
            ? undefined
            : technicians
                .map((_, n) => (first + n) % TECHNICIANS)
                .find((n) => freeCells[n]?.subarray(cell, cell + cells).every((free) => free === 1));
        if (person === undefined) {
          cell += 2;
          continue;
        }
        freeCells[person]?.fill(0, cell, cell + cells);
        const period = { startsAt: fromAt + cell * CELL_MS, endsAt: fromAt + (cell + cells) * CELL_MS };
        bay.busy.push(period);
        technicians[person]?.busy.push(period);
        taken += period.endsAt - period.startsAt;
        bookings++;
        cell += cells;
      }
    }
  }
  // as a database hands them out
  for (const { busy } of technicians) busy.sort((a, b) => a.startsAt - b.startsAt);
  return { workshop, bookings, filled: taken / (BAYS * lengthMs(open)) };
}

const DAY = [
  { from: '07:30', until: '12:00' },
  { from: '12:30', until: '17:30' },
];
const EARLY_DAY = [{ from: '07:30', until: '16:00' }];
const WEEK = { 1: DAY, 2: DAY, 3: DAY, 4: DAY, 5: DAY };
const EARLY_WEEK = { 1: EARLY_DAY, 2: EARLY_DAY, 3: EARLY_DAY, 4: EARLY_DAY, 5: DAY };
const CELL_MS = 15 * MINUTE;
const JOB_CELLS = [4, 6, 8, 12, 16];
const FREE_SHARE = 0.35;

function weekFrom(startsAt: number): Period {
  return { startsAt, endsAt: startsAt + 7 * 24 * 60 * MINUTE };
}

// quarters of an hour from the start of the range, 1 for free
function cellsOf(free: readonly number[], fromAt: number): Uint8Array {
  const cells = new Uint8Array(DAYS * 96);
  for (let i = 0; i < free.length; i += 2)
    cells.fill(
      1,
      Math.ceil(((free[i] ?? 0) - fromAt) / CELL_MS),
      Math.floor(((free[i + 1] ?? 0) - fromAt) / CELL_MS),
    );
  return cells;
}
