import type { BookingDto } from '../../src/modules/bookings/dto/booking.dto';
import type { BookingConflictsDto } from '../../src/modules/bookings/dto/booking-conflicts.dto';
import type { FreeTimesDto } from '../../src/modules/bookings/dto/free-times.dto';
import type { BayDto } from '../../src/modules/workshops/dto/bay.dto';
import type { TechnicianDto } from '../../src/modules/workshops/dto/technician.dto';
import type { WorkshopOpeningDto } from '../../src/modules/workshops/dto/workshop-opening.dto';
import type { WorkshopDto, WorkshopPageDto } from '../../src/modules/workshops/dto/workshop.dto';
import { apiClient, type ApiClient } from '../support/api-client';
import { Operator } from '../support/operator';
import { startTestApp, type TestApp } from '../support/test-app';

const HOURS = [1, 2, 3, 4, 5].map((weekday) => ({
  weekday,
  windows: [
    { from: '08:00', until: '12:00' },
    { from: '13:00', until: '17:00' },
  ],
}));
const WORKSHOP = {
  name: 'Upper Tarn workshop',
  zone: 'Europe/London',
  weeklyHours: HOURS,
  holidayRegion: 'GB-ENG',
};

let test: TestApp;
let operator: Operator;
let admin: ApiClient;

beforeAll(async () => {
  test = await startTestApp();
  operator = await Operator.of(test, 'Tarn Valley Patient Transport');
  admin = operator.admin;
});
afterAll(() => test.close());

const workshop = (more: object = {}) =>
  admin.ok<WorkshopDto>('post', '/v1/workshops', { body: { ...WORKSHOP, ...more } });
const opening = (id: string, fromOn: string, untilOn: string) =>
  admin.ok<WorkshopOpeningDto>('get', `/v1/workshops/${id}/opening?fromOn=${fromOn}&untilOn=${untilOn}`);

describe('opening hours', () => {
  it('are weekly, but for public holidays, but for what is said of a day', async () => {
    const { id } = await workshop({
      dayExceptions: [
        {
          fromOn: '2026-12-28',
          untilOn: '2026-12-29',
          windows: [{ from: '10:00', until: '14:00' }],
          note: 'emergencies',
        },
        { fromOn: '2026-12-29', untilOn: '2027-01-01', windows: [], note: 'stocktaking' },
      ],
    });
    const { days, zone } = await opening(id, '2026-12-24', '2027-01-02');
    expect(zone).toBe('Europe/London');
    expect(days.map(({ on, because, note, windows }) => [on, because, note, windows.length])).toEqual([
      ['2026-12-24', 'weekly-hours', null, 2],
      ['2026-12-25', 'public-holiday', 'Christmas Day', 0],
      ['2026-12-26', 'public-holiday', 'Boxing Day', 0],
      ['2026-12-27', 'weekly-hours', null, 0],
      // the day that is taken for Boxing Day is a holiday; the exception wins
      ['2026-12-28', 'exception', 'emergencies', 1],
      ['2026-12-29', 'exception', 'stocktaking', 0],
      ['2026-12-30', 'exception', 'stocktaking', 0],
      ['2026-12-31', 'exception', 'stocktaking', 0],
      ['2027-01-01', 'public-holiday', "New Year's Day", 0],
    ]);
    expect(days[4]?.windows).toEqual([
      { startsAt: '2026-12-28T10:00:00.000Z', endsAt: '2026-12-28T14:00:00.000Z' },
    ]);
  });

  it('keep the clock of the workshop over its changes', async () => {
    const night = [{ weekday: 6, windows: [{ from: '22:00', until: '06:00' }] }];
    const { id } = await workshop({ zone: 'Europe/Berlin', weeklyHours: night, holidayRegion: null });
    const lengthOf = async (on: string, untilOn: string): Promise<number> => {
      const [window] = (await opening(id, on, untilOn)).days[0]!.windows;
      return (Date.parse(window!.endsAt) - Date.parse(window!.startsAt)) / 60_000;
    };
    // elapsed minutes of a night from 22:00 to 06:00; two independent programs
    expect(await lengthOf('2025-03-29', '2025-03-30')).toBe(420);
    expect(await lengthOf('2025-10-25', '2025-10-26')).toBe(540);
    expect(await lengthOf('2025-07-05', '2025-07-06')).toBe(480);
  });

  it('are refused with the field where they cannot be', async () => {
    const refused = (more: object) =>
      admin.refused('post', '/v1/workshops', { body: { ...WORKSHOP, ...more } });
    const day = (...windows: [string, string][]) => [
      { weekday: 1, windows: windows.map(([from, until]) => ({ from, until })) },
    ];
    expect(await refused({ weeklyHours: day(['08:00', '12:00'], ['11:30', '17:00']) })).toEqual([
      422,
      '#/weeklyHours/0/windows/1/from',
    ]);
    expect(await refused({ weeklyHours: day(['08:00', '08:00']) })).toEqual([
      422,
      '#/weeklyHours/0/windows/0/until',
    ]);
    expect(await refused({ weeklyHours: day(['8', '25:00']) })).toEqual([
      422,
      '#/weeklyHours/0/windows/0/from',
      '#/weeklyHours/0/windows/0/until',
    ]);
    expect(await refused({ weeklyHours: [...day(), ...day()] })).toEqual([422, '#/weeklyHours/1/weekday']);
    expect(await refused({ holidayRegion: 'XX-YY' })).toEqual([422, '#/holidayRegion']);
    expect(await refused({ gridMinutes: 7 })).toEqual([422, '#/gridMinutes']);
    const exceptions = (...spans: [string, string][]) => ({
      dayExceptions: spans.map(([fromOn, untilOn]) => ({ fromOn, untilOn, windows: [] })),
    });
    expect(await refused(exceptions(['2026-12-24', '2026-12-24']))).toEqual([
      422,
      '#/dayExceptions/0/untilOn',
    ]);
    expect(await refused(exceptions(['2026-12-24', '2026-12-30'], ['2026-12-28', '2026-12-29']))).toEqual([
      422,
      '#/dayExceptions/1/fromOn',
    ]);
  });
});

describe('bays and people', () => {
  it('are added, changed, and retired; what a diary offers follows', async () => {
    const { id } = await workshop({ holidayRegion: null });
    const bay = await admin.ok<BayDto>('post', `/v1/workshops/${id}/bays`, {
      body: { name: 'Lift', kinds: ['lift'] },
    });
    const twin = { body: { name: 'Lift', kinds: ['lift'] } };
    expect(await admin.refused('post', `/v1/workshops/${id}/bays`, twin)).toEqual([409, '#/name']);
    const person = await admin.ok<TechnicianDto>('post', `/v1/workshops/${id}/technicians`, {
      body: { name: 'Alder', competences: [{ code: 'brakes', lastOn: '2026-12-01' }], shifts: HOURS },
    });
    const depotId = await operator.depot(await operator.fleet('patient transport'), 'Upper Tarn');
    const vehicleId = await operator.vehicle(depotId, 'TVP 101');
    const first = async (): Promise<string | undefined> => {
      const body = {
        vehicleId,
        workshopIds: [id],
        fromAt: '2026-12-01T00:00:00Z',
        untilAt: '2026-12-05T00:00:00Z',
        dueItemKeys: [],
        extraWork: [{ title: 'Pads', minutes: 60, competences: ['brakes'], bayKind: 'lift' }],
      };
      return (await admin.ok<FreeTimesDto>('post', '/v1/free-times', { body })).freeTimes[0]?.startsAt;
    };
    expect(await first()).toBe('2026-12-01T08:00:00.000Z');
    const closure = {
      startsAt: '2026-12-01T08:00:00Z',
      endsAt: '2026-12-01T15:00:00Z',
      reason: 'lift examination',
    };
    const closed = await admin.ok<BayDto>('patch', `/v1/bays/${bay.id}`, {
      body: { closures: [closure] },
      ifMatch: '"r1"',
    });
    expect(closed.closures).toEqual([
      { ...closure, startsAt: '2026-12-01T08:00:00.000Z', endsAt: '2026-12-01T15:00:00.000Z' },
    ]);
    expect(await first()).toBe('2026-12-01T15:00:00.000Z');
    const absent = { startsAt: '2026-12-01T14:00:00Z', endsAt: '2026-12-02T23:00:00Z', reason: 'course' };
    const change = (revision: number, body: object) =>
      admin.ok<TechnicianDto>('patch', `/v1/technicians/${person.id}`, { body, ifMatch: `"r${revision}"` });
    await change(1, { absences: [absent] });
    // from the day after its last one the competence counts no more
    expect(await first()).toBeUndefined();
    await change(2, { competences: [{ code: 'brakes' }] });
    expect(await first()).toBe('2026-12-03T08:00:00.000Z');
    await change(3, { retiredOn: '2026-12-03' });
    expect(await first()).toBeUndefined();
  });
});

describe('bookings that were overtaken', () => {
  it('are listed with the reason, until somebody moves them', async () => {
    const { id } = await workshop({ holidayRegion: null });
    await admin.ok('post', `/v1/workshops/${id}/bays`, { body: { name: 'Lift', kinds: ['lift'] } });
    const person = await admin.ok<TechnicianDto>('post', `/v1/workshops/${id}/technicians`, {
      body: { name: 'Alder', competences: [{ code: 'brakes' }], shifts: HOURS },
    });
    const depotId = await operator.depot(await operator.fleet('night service'), 'Upper Tarn');
    const vehicleId = await operator.vehicle(depotId, 'TVP 301');
    const work = { dueItemKeys: [], extraWork: [{ title: 'Pads', minutes: 60, competences: ['brakes'] }] };
    for (const startsAt of ['2026-12-01T09:00:00Z', '2026-12-02T09:00:00Z'])
      await admin.ok('post', '/v1/bookings', { body: { vehicleId, workshopId: id, startsAt, ...work } });
    const conflicts = () => admin.ok<BookingConflictsDto>('get', `/v1/workshops/${id}/booking-conflicts`);
    expect((await conflicts()).items).toEqual([]);
    const absences = [{ startsAt: '2026-12-02T00:00:00Z', endsAt: '2026-12-03T00:00:00Z', reason: 'course' }];
    await admin.ok('patch', `/v1/technicians/${person.id}`, { body: { absences }, ifMatch: '"r1"' });
    const { items } = await conflicts();
    expect(items.map(({ booking, because }) => [booking.startsAt, because])).toEqual([
      ['2026-12-02T09:00:00.000Z', ['Alder is absent from Wed 2 Dec 2026, 00:00 to Thu 3 Dec 2026, 00:00.']],
    ]);
  });
});

describe('a key that is limited to workshops', () => {
  it('sees those workshops and their bookings only, and makes no key that sees more', async () => {
    const [mine, other] = [await workshop({ externalKey: 'W1' }), await workshop({ externalKey: 'W2' })];
    const { key } = await admin.ok<{ key: string }>('post', '/v1/api-keys', {
      body: { name: 'front desk of one', role: 'administrator', workshopIds: [mine.id] },
    });
    const desk = apiClient(test, key);
    const { items } = await desk.ok<WorkshopPageDto>('get', '/v1/workshops');
    expect(items.map(({ id }) => id)).toEqual([mine.id]);
    expect((await desk.call('get', `/v1/workshops/${other.id}`)).status).toBe(404);
    for (const id of [mine.id, other.id]) {
      await admin.ok('post', `/v1/workshops/${id}/bays`, { body: { name: 'Lift', kinds: ['lift'] } });
      await admin.ok('post', `/v1/workshops/${id}/technicians`, {
        body: { name: 'Alder', competences: [], shifts: HOURS },
      });
    }
    const depotId = await operator.depot(await operator.fleet('school runs'), 'Lower Tarn');
    const vehicleId = await operator.vehicle(depotId, 'TVP 201');
    const bookings: BookingDto[] = [];
    for (const [workshopId, startsAt] of [
      [mine.id, '2026-12-01T09:00:00Z'],
      [other.id, '2026-12-02T09:00:00Z'],
    ])
      bookings.push(
        await admin.ok<BookingDto>('post', '/v1/bookings', {
          body: {
            vehicleId,
            workshopId,
            startsAt,
            dueItemKeys: [],
            extraWork: [{ title: 'Look', minutes: 30 }],
          },
        }),
      );
    const seen = await desk.ok<{ items: { id: string }[] }>('get', '/v1/bookings');
    expect(seen.items.map(({ id }) => id)).toEqual([bookings[0]?.id]);
    const make = (workshopIds: string[] | null) =>
      desk.refused('post', '/v1/api-keys', { body: { name: 'wider', role: 'technician', workshopIds } });
    expect(await make(null)).toEqual([422, '#/workshopIds']);
    expect(await make([other.id])).toEqual([422, '#/workshopIds']);
    expect(await make([mine.id])).toEqual([201]);
  });
});
