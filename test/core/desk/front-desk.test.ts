import {
  bookedAt,
  doneWith,
  firstTicks,
  inOrder,
  mayBeDone,
  taskWords,
  toggled,
} from '../../../src/desk/pages/front-desk/visit-tasks';
import { datedText, rangeText, shortDay } from '../../../src/desk/format/dated-text';
import { extraWorkOf } from '../../../src/desk/pages/front-desk/extra-work-entry';
import { foundOf } from '../../../src/desk/pages/front-desk/found';
import { leftText, secondsLeft } from '../../../src/desk/pages/front-desk/hold-countdown';
import {
  homeWorkshop,
  localDay,
  otherWorkshops,
  spanText,
  spreadOut,
  startOfDay,
} from '../../../src/desk/pages/front-desk/offers';
import { isOpen } from '../../../src/desk/pages/front-desk/open-bookings';
import { isShortcut, SHORTCUTS, takesText } from '../../../src/desk/pages/front-desk/shortcuts';

const item = (
  key: string,
  state: 'overdue' | 'due' | 'due-soon' | 'not-due' | 'undetermined',
  more = {},
) => ({
  key,
  task: key,
  title: key,
  cycle: 'c1',
  position: null as string | null,
  doBefore: [] as string[],
  satisfies: [] as string[],
  dueOn: null as string | null,
  state,
  ...more,
});
const none = new Map<string, unknown>();

describe('the work of a visit', () => {
  const fluid = item('fluid-change', 'due', { satisfies: ['filter-clean'] });
  const filter = item('filter-clean', 'overdue');
  const brakes = item('brake-test', 'overdue');
  const hoses = item('hoses', 'due-soon');

  it('begins with what is overdue or due, but not with what other work does along the way', () => {
    expect(firstTicks([fluid, filter, brakes, hoses], none)).toEqual(['fluid-change', 'brake-test']);
    expect(firstTicks([filter, hoses], none)).toEqual(['filter-clean']);
  });

  it('keeps one of two that do each other', () => {
    const [a, b] = [item('a', 'due', { satisfies: ['b'] }), item('b', 'due', { satisfies: ['a'] })];
    expect(firstTicks([b, a], none)).toEqual(['a']);
  });

  it('leaves out what another visit does, or settles, in this interval', () => {
    const visit = { id: 'v', items: [{ dueItemKey: 'fluid-change', cycle: 'c1' }] };
    const earlier = { id: 'e', items: [{ dueItemKey: 'brake-test', cycle: 'c0' }] };
    const booked = bookedAt([fluid, filter, brakes], [earlier, visit]);
    expect([...booked.keys()]).toEqual(['fluid-change', 'filter-clean']);
    expect(firstTicks([fluid, filter, brakes], booked)).toEqual(['brake-test']);
    expect(mayBeDone([fluid, hoses], booked)).toEqual(['hoses']);
    expect(mayBeDone([hoses], new Map([['hoses', visit]]))).toEqual([]);
  });

  it('tells with which ticked work an item comes along', () => {
    expect(doneWith(filter, [fluid, filter], ['fluid-change'])).toBe(fluid);
    expect(doneWith(filter, [fluid, filter], ['fluid-change', 'filter-clean'])).toBeUndefined();
    expect(doneWith(brakes, [fluid, filter], ['fluid-change'])).toBeUndefined();
  });

  it('shows the most pressing first, then by day', () => {
    const late = item('late', 'due', { dueOn: '2026-12-02' });
    const early = item('early', 'due', { dueOn: '2026-12-01' });
    const shown = inOrder([
      hoses,
      late,
      item('unknown', 'undetermined'),
      early,
      filter,
      item('far', 'not-due'),
    ]);
    expect(shown.map(({ key }) => key)).toEqual(['filter-clean', 'early', 'late', 'hoses', 'unknown', 'far']);
  });

  it('names a task and its place without saying anything twice', () => {
    const title = 'Recharge the suspension unit';
    expect(taskWords({ title, position: 'suspension-front-right' })).toBe(`${title}, front right`);
    expect(taskWords({ title: 'Test the main accumulator', position: 'main-accumulator' })).toBe(
      'Test the main accumulator',
    );
    expect(taskWords({ title, position: null })).toBe(title);
  });

  it('ticks and unticks', () => {
    expect(toggled(['a'], 'b')).toEqual(['a', 'b']);
    expect(toggled(['a', 'b'], 'a')).toEqual(['b']);
  });
});

describe('extra work', () => {
  it.each([
    ['45', 45],
    [' 90 ', 90],
    ['4,800', 4_800],
  ])('takes %s minutes', (minutes, expected) => {
    expect(extraWorkOf({ title: ' Squeak at the rear ', minutes, competence: '' }, 'en-GB')).toEqual({
      work: { title: 'Squeak at the rear', minutes: expected, competences: [] },
    });
  });

  it.each(['', 'an hour', '0', '-5', '1.5', '4801'])('refuses "%s" minutes', (minutes) => {
    const read = extraWorkOf({ title: 'Squeak', minutes, competence: 'brakes' }, 'en-GB');
    const minutesFault = 'Give whole minutes from 1 to 4800, such as 45.';
    expect(read).toEqual({ faults: { minutes: minutesFault } });
  });

  it.each([
    ['', 'Say what is to be done.'],
    ['   ', 'Say what is to be done.'],
    ['x'.repeat(201), 'Say it in at most 200 letters.'],
  ])('refuses the title "%s"', (title, fault) => {
    expect(extraWorkOf({ title, minutes: '10', competence: '' }, 'en-GB')).toEqual({
      faults: { title: fault },
    });
  });
});

describe('what was found', () => {
  const vehicle = (id: string, registrationMark: string, fleetNumber: string | null) => ({
    id,
    registrationMark,
    fleetNumber,
    vin: null,
  });
  const unit = (id: string, place: Parameters<typeof foundOf>[1]['gasUnits'][number]['place']) => ({
    id,
    serialNumber: `S-${id}`,
    place,
  });

  it('has the mark itself before what begins so, and that before what has it in it', () => {
    const vehicles = [
      vehicle('1', 'ATV 10', null),
      vehicle('2', 'TV 100', null),
      vehicle('3', 'XX 1', 'tv 10'),
    ];
    const found = foundOf('tv10', { vehicles, gasUnits: [unit('9', null)] });
    expect(found.map(({ id }) => id)).toEqual(['3', '2', '1', '9']);
  });

  it('has a mark with the text in it before those that have it in their VIN alone, and no more than fit', () => {
    const others = Array.from({ length: 20 }, (_, index) => ({
      ...vehicle(`v${index}`, 'XX 1', null),
      vin: 'ZZ9TVPA11SA000103',
    }));
    const found = foundOf('11', { vehicles: [...others, vehicle('m', 'TV 112', null)], gasUnits: [] });
    expect(found).toHaveLength(8);
    expect(found[0]?.id).toBe('m');
  });

  it('leads from a unit to its vehicle, and nowhere from one that is on none', () => {
    const place = { vehicleId: 'v', registrationMark: 'TVP 101', position: 'main-accumulator' };
    const shelf = { vehicleId: null, registrationMark: null, position: null };
    const gasUnits = [
      unit('1', { ...place, state: 'fitted' }),
      unit('2', { ...shelf, state: 'on-the-shelf' }),
      unit('3', null),
    ];
    const found = foundOf('s', { vehicles: [], gasUnits });
    expect(found.map(({ vehicleId }) => vehicleId)).toEqual(['v', null, null]);
    expect(found.map(({ about }) => about)).toEqual([
      'gas unit, main accumulator of TVP 101',
      'gas unit, on the shelf, on no vehicle',
      'gas unit, nobody recorded where it is',
    ]);
  });
});

describe('free times', () => {
  const reach = {
    isDefault: false,
    workshops: [
      { workshopId: 'near', transferMinutes: 10 },
      { workshopId: 'far', transferMinutes: 90 },
      { workshopId: 'shut', transferMinutes: 5 },
    ],
  };
  const ids = ['far', 'near', 'beyond'];

  it('are those of the workshop that was chosen, that one works for, or that is nearest', () => {
    expect(homeWorkshop(ids, 'beyond', ['far'], reach)).toBe('beyond');
    expect(homeWorkshop(ids, 'gone', ['far'], reach)).toBe('far');
    expect(homeWorkshop(ids, null, null, reach)).toBe('near');
    expect(homeWorkshop(ids, null, null, undefined)).toBe('far');
    expect(homeWorkshop([], null, null, reach)).toBeUndefined();
  });

  it('elsewhere are those of workshops that the vehicle can go to', () => {
    expect(otherWorkshops(ids, 'near', reach)).toEqual(['far']);
    expect(otherWorkshops(ids, 'near', { isDefault: true, workshops: [] })).toEqual(['far', 'beyond']);
    expect(otherWorkshops(Array.from({ length: 30 }, String), '0', undefined)).toHaveLength(20);
  });

  it('differ by half days before they differ by quarters of an hour', () => {
    const at = (startsAt: string) => ({ startsAt, zone: 'Europe/London' });
    const times = [
      '2026-12-02T09:00:00Z',
      '2026-12-02T09:15:00Z',
      '2026-12-02T13:00:00Z',
      '2026-12-03T09:00:00Z',
    ];
    const shown = (count: number) => spreadOut(times.map(at), count).map(({ startsAt }) => startsAt);
    expect(shown(3)).toEqual([times[0], times[2], times[3]]);
    expect(shown(4)).toEqual(times);
  });

  it('are on the clock of the workshop', () => {
    // Paris is an hour ahead of UTC in winter, two in summer
    expect(startOfDay('2026-12-02', 'Europe/Paris')).toBe('2026-12-01T23:00:00.000Z');
    expect(startOfDay('2026-07-02', 'Europe/Paris')).toBe('2026-07-01T22:00:00.000Z');
    expect(startOfDay('', 'Europe/Paris')).toBeUndefined();
    expect(startOfDay('2026-02-30', 'Europe/Paris')).toBeUndefined();
    expect(localDay('2026-12-01T23:30:00Z', 'Europe/Paris')).toBe('2026-12-02');
    expect(spanText('2026-12-02T09:00:00Z', '2026-12-02T10:30:00Z', 'Europe/Paris', 'en-GB')).toBe(
      '10:00–11:30',
    );
    expect(spanText('2026-12-02T15:00:00Z', '2026-12-03T08:30:00Z', 'Europe/Paris', 'en-GB')).toBe(
      '16:00–Thu 3 Dec, 09:30',
    );
  });
});

describe('words', () => {
  it('have dates as the reader writes them', () => {
    expect(datedText('Due 2026-12-01, by this visit.', 'en-GB')).toMatch(
      /^Due Tue,? 1 Dec 2026, by this visit\.$/,
    );
    expect(
      datedText('It is taken until 2026-12-01T09:30:00.000Z.', 'en-GB', 'Europe/Paris').replace(',', ''),
    ).toBe('It is taken until Tue 1 Dec 2026, 10:30.');
    for (const text of [
      'rule 2026-1',
      '"2026-02-30" is no date',
      'give it as YYYY-MM-DD, such as 2026-12-01',
    ])
      expect(datedText(text, 'en-GB')).toBe(text);
    expect(shortDay('2026-12-01', 'en-GB')).toBe('1 Dec 2026');
    expect(shortDay('2026-12-01', 'de-AT')).toMatch(/^1\. Dez/);
    expect(rangeText('2026-11-29', '2026-12-12', 'en-GB').replace(/\s/g, ' ')).toBe('29 Nov – 12 Dec 2026');
  });

  it('count a hold down to its end', () => {
    const until = '2026-12-01T10:15:00Z';
    const before = (seconds: number): number => Date.parse(until) - seconds * 1_000;
    expect(leftText(until, before(900))).toBe('15:00');
    expect(leftText(until, before(61.5))).toBe('1:02');
    expect(leftText(until, before(-5))).toBe('0:00');
    expect(secondsLeft(until, before(0.2))).toBe(1);
    expect(secondsLeft(until, before(0))).toBe(0);
  });

  it('tell bookings that a caller would want to hear of', () => {
    expect(isOpen({ state: 'provisional' })).toBe(true);
    expect(isOpen({ state: 'finished' })).toBe(true);
    expect(isOpen({ state: 'cancelled' })).toBe(false);
  });
});

// WCAG 2.2, success criterion 2.1.4
describe('shortcut keys', () => {
  const press = {
    key: 'n',
    ctrlKey: false,
    altKey: false,
    metaKey: false,
    repeat: false,
    defaultPrevented: false,
  };

  it('work with small and capital letters, outside texts', () => {
    expect(isShortcut(press, null, 'N')).toBe(true);
    expect(isShortcut({ ...press, key: 'N' }, { tagName: 'BUTTON' }, 'N')).toBe(true);
    expect(isShortcut(press, { tagName: 'INPUT', type: 'checkbox' }, 'N')).toBe(true);
    expect(isShortcut(press, null, 'H')).toBe(false);
  });

  it.each([
    { tagName: 'INPUT', type: 'text' },
    { tagName: 'INPUT', type: 'date' },
    { tagName: 'INPUT' },
    { tagName: 'TEXTAREA' },
    { tagName: 'SELECT' },
    { tagName: 'DIV', isContentEditable: true },
  ])('are letters in $tagName $type', (place) => {
    expect(takesText(place)).toBe(true);
    expect(isShortcut(press, place, 'N')).toBe(false);
  });

  it.each(['ctrlKey', 'altKey', 'metaKey', 'repeat', 'defaultPrevented'] as const)(
    'do not stand in for presses with %s',
    (held) => {
      expect(isShortcut({ ...press, [held]: true }, null, 'N')).toBe(false);
    },
  );

  it('are each listed once', () => {
    const keys = SHORTCUTS.map(([key]) => key);
    expect(new Set(keys).size).toBe(keys.length);
  });
});
