import { localDateAt } from '../../../src/core/shared/calendar-date';
import { SeededRandom } from '../../../src/core/shared/seeded-random';
import { checkSlot } from '../../../src/core/working-time/check-slot';
import { findSlots } from '../../../src/core/working-time/find-slots';
import { prepareDiary } from '../../../src/core/working-time/prepare-diary';
import { refusalSentence } from '../../../src/core/working-time/refusal-sentence';
import { slotStartingAt } from '../../../src/core/working-time/slot-starting-at';
import type { Workshop } from '../../../src/core/working-time/workshop';
import { randomQuestion } from './random-questions';

const DAY = 86_400_000;
const ZONES = ['Europe/London', 'America/New_York', 'Asia/Kolkata', 'Australia/Lord_Howe'];
// the last has a change of the clock in most zones
const STARTS = ['2026-11-02T00:00:00Z', '2026-06-10T00:00:00Z', '2026-03-28T00:00:00Z'];

function blockOf(random: SeededRandom) {
  const zone = ZONES[random.integer(0, ZONES.length - 1)]!;
  const firstAt = Date.parse(STARTS[random.integer(0, STARTS.length - 1)]!);
  return { zone, firstAt, firstOn: localDateAt(firstAt, zone), days: 6 };
}

test('accepts exactly the bay and the people that the search found, and says the same of them', () => {
  const random = new SeededRandom(4);
  let found = 0;
  for (let i = 0; i < 600; i++) {
    const question = randomQuestion(random, blockOf(random));
    for (const slot of findSlots(question).slots) {
      const workshop = question.workshops.find(({ id }) => id === slot.workshopId)!;
      const { job, vehicleBusy } = question;
      const { bayId, technicianIds, startsAt } = slot;
      expect(checkSlot(workshop, { job, startsAt, bayId, technicianIds, vehicleBusy })).toEqual({
        slot,
        refusals: [],
      });
      found += 1;
    }
  }
  expect(found).toBeGreaterThan(400);
});

test('one bay and one person can have a start exactly where a search among them alone finds it', () => {
  const random = new SeededRandom(5);
  const seen = { accepted: 0, refused: 0 };
  for (let i = 0; i < 600; i++) {
    const block = blockOf(random);
    const { job: asked, workshops, vehicleBusy } = randomQuestion(random, block);
    const workshop = workshops[0]!;
    const bay = workshop.bays[random.integer(0, workshop.bays.length - 1)]!;
    const person = workshop.technicians[random.integer(0, workshop.technicians.length - 1)]!;
    const job = { ...asked, needed: asked.needed.slice(0, 1), minutes: Math.min(asked.minutes, 240) };
    const narrowed: Workshop = { ...workshop, bays: [bay], technicians: [person] };
    const diary = prepareDiary([narrowed], block.firstAt, block.firstAt + block.days * DAY);
    for (let k = 0; k < 6; k++) {
      const startsAt = block.firstAt + DAY + random.integer(0, 2 * 96) * 15 * 60_000;
      const wanted = { job, startsAt, bayId: bay.id, technicianIds: [person.id], vehicleBusy };
      const checked = checkSlot(workshop, wanted);
      expect(checked.slot).toEqual(slotStartingAt(diary, job, startsAt, vehicleBusy));
      expect(checked.refusals.length > 0).toBe(checked.slot === null);
      seen[checked.slot === null ? 'refused' : 'accepted'] += 1;
    }
  }
  expect(seen.accepted).toBeGreaterThan(100);
  expect(seen.refused).toBeGreaterThan(150);
});

describe('what is in the way', () => {
  const HOURS = [
    { from: '08:00', until: '12:00' },
    { from: '13:00', until: '17:00' },
  ];
  const at = (time: string): number => Date.parse(`2026-12-01T${time}:00Z`);
  const workshop: Workshop = {
    id: 'w',
    opening: { zone: 'Europe/London', weekly: { 1: HOURS, 2: HOURS, 3: HOURS } },
    bays: [
      {
        id: 'lift',
        kinds: ['lift'],
        closures: [{ startsAt: at('15:00'), endsAt: at('16:00') }],
        busy: [{ startsAt: at('09:00'), endsAt: at('10:00') }],
      },
    ],
    technicians: [
      {
        id: 'alder',
        competences: [{ code: 'brakes', untilOn: '2026-12-01' }],
        shifts: { 2: [{ from: '08:00', until: '16:30' }] },
        shiftExceptions: [],
        absences: [{ startsAt: at('11:00'), endsAt: at('11:30') }],
        busy: [],
      },
    ],
    minutesBefore: 10,
    minutesAfter: 0,
    vehicleStay: 'not-at-all',
    gridMinutes: 15,
  };
  const job = {
    minutes: 60,
    bayKinds: ['lift'],
    needed: [],
    separatePeople: false,
    minutesBefore: null,
    minutesAfter: null,
  };
  const sentences = (time: string, more: object = {}): string[] =>
    checkSlot(workshop, {
      job: { ...job, ...more },
      startsAt: at(time),
      bayId: 'lift',
      technicianIds: ['alder'],
      vehicleBusy: [{ startsAt: at('13:30'), endsAt: at('14:00') }],
    }).refusals.map((refusal) =>
      refusalSentence(refusal, (id) => (id === 'lift' ? 'Lift 1' : 'Alder'), 'Europe/London'),
    );

  test.each([
    ['08:00', {}, []],
    // the ten minutes before the work count for the bay
    ['10:00', {}, ['Lift 1 is taken from Tue 1 Dec 2026, 09:00 to 10:00.']],
    ['10:15', {}, ['Alder is absent from Tue 1 Dec 2026, 11:00 to 11:30.']],
    ['12:15', {}, ['The workshop is shut at Tue 1 Dec 2026, 12:15.']],
    ['13:00', {}, ['The vehicle is booked elsewhere from Tue 1 Dec 2026, 13:30 to 14:00.']],
    ['14:10', {}, ['Lift 1 is closed from Tue 1 Dec 2026, 15:00 to 16:00.']],
    ['16:30', {}, ['Alder is off shift at Tue 1 Dec 2026, 16:30.']],
    ['16:15', {}, ['60 minutes of work do not fit before the workshop shuts or a shift ends.']],
    ['08:00', { bayKinds: ['lift', 'pit'] }, ['Lift 1 is no bay for pit.']],
    [
      '08:00',
      { needed: [{ competences: ['brakes'] }] },
      ['Nobody named has brakes until the work ends (the last day was Mon 30 Nov 2026).'],
    ],
    [
      '08:00',
      { needed: [{ competences: ['hydraulics'] }] },
      ['Nobody named has hydraulics until the work ends.'],
    ],
    [
      '08:00',
      { needed: [{ competences: [] }, { competences: [] }], separatePeople: true },
      ['The work needs 2 people.'],
    ],
  ])('at %s with %j: %j', (time, more, expected) => {
    expect(sentences(time, more)).toEqual(expected);
  });
});
