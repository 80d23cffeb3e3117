import { SeededRandom } from '../../../src/core/shared/seeded-random';
import { instantAtLocalTime } from '../../../src/core/shared/local-time';
import { findSlots } from '../../../src/core/working-time/find-slots';
import { MinuteScan } from './minute-scan';
import { randomQuestion, type Block } from './random-questions';

// Checked against a minute-by-minute scan that is written apart (minute-scan.ts).

const CASES_A_BLOCK = 167;
const DAYS = 6;
// clock changes of an hour and of half an hour, one zone without any and 5 h 45 min from UTC; ordinary weeks
const BLOCKS: [zone: string, firstOn: string][] = [
  ['Europe/Berlin', '2025-03-27'],
  ['Europe/Berlin', '2025-10-23'],
  ['Europe/Berlin', '2025-07-01'],
  ['America/New_York', '2025-03-06'],
  ['America/New_York', '2025-10-30'],
  ['America/New_York', '2025-12-29'],
  ['Australia/Lord_Howe', '2025-04-03'],
  ['Australia/Lord_Howe', '2025-10-02'],
  ['Australia/Lord_Howe', '2025-06-10'],
  ['Asia/Kathmandu', '2025-03-27'],
  ['Asia/Kathmandu', '2025-12-29'],
  ['Asia/Kathmandu', '2024-02-26'],
];

const seen = { cases: 0, withSlot: 0, paused: 0, teams: 0, laterFit: 0, beyond: 0 };

describe.each(BLOCKS)('%s from %s', (zone, firstOn) => {
  const firstAt = instantAtLocalTime(firstOn, '00:00', zone);
  const block: Block = { zone, firstOn, firstAt, days: DAYS };
  const scan = new MinuteScan(zone, firstAt, DAYS);

  test(`${CASES_A_BLOCK} random questions have the answer of the minute-by-minute scan`, () => {
    const random = new SeededRandom(firstAt / 60_000);
    for (let i = 0; i < CASES_A_BLOCK; i++) {
      const question = randomQuestion(random, block);
      const { slots, nothingFree } = findSlots(question);
      expect({ case: i, slots }).toEqual({ case: i, slots: scan.slots(question) });
      seen.cases++;
      if (slots.length > 0) seen.withSlot++;
      if (slots.some(({ pieces }) => pieces.length > 1)) seen.paused++;
      if (slots.some(({ technicianIds }) => technicianIds.length > 1)) seen.teams++;
      expect(nothingFree === null).toBe(slots.length > 0);
      if (nothingFree === null) continue;
      seen.beyond++;
      if (i % 2 === 1) continue; // the longer scan takes its time
      const [later] = scan.slots({ ...question, untilAt: question.searchUntilAt, count: 1 });
      expect({ case: i, firstFitAt: nothingFree.firstFit?.startsAt }).toEqual({
        case: i,
        firstFitAt: later?.startsAt,
      });
      if (later !== undefined) seen.laterFit++;
    }
  });
});

test('the random questions are of every sort', () => {
  expect(seen.cases).toBeGreaterThanOrEqual(2_000);
  expect(seen.withSlot).toBeGreaterThan(700);
  expect(seen.paused).toBeGreaterThan(80);
  expect(seen.teams).toBeGreaterThan(80);
  expect(seen.beyond).toBeGreaterThan(400);
  expect(seen.laterFit).toBeGreaterThan(50);
});
