import { addDays, toEpochDay } from '../../src/core/shared/calendar-date';
import type { UsageDto } from '../../src/modules/due-items/dto/usage.dto';
import type { VehicleDueItemsDto } from '../../src/modules/due-items/dto/due-item.dto';
import { DueItemsService } from '../../src/modules/due-items/due-items.service';
import type {
  DecidedReadingDto,
  FleetOdometerReadingPageDto,
  OdometerReadingDto,
  OdometerReadingPageDto,
} from '../../src/modules/odometer-readings/dto/odometer-reading.dto';
import { OdometerReadingsService } from '../../src/modules/odometer-readings/odometer-readings.service';
import type { OdometerReadingRow } from '../../src/modules/odometer-readings/vehicle-history';
import type {
  OdometerReplacementDto,
  RecordedReplacementDto,
} from '../../src/modules/odometer-replacements/dto/odometer-replacement.dto';
import { OdometerReplacementsService } from '../../src/modules/odometer-replacements/odometer-replacements.service';
import { Transactions } from '../../src/platform/database/transactions';
import { systemPrincipal } from '../../src/platform/security/principal';
import { type ApiClient } from '../support/api-client';
import { countStatements } from '../support/count-statements';
import { Operator } from '../support/operator';
import { startTestApp, type TestApp } from '../support/test-app';

const TODAY = '2026-11-25';
let served: TestApp;
let operator: Operator;
let stranger: Operator;
let api: ApiClient;
let fleetId: string;
let depotId: string;
beforeAll(async () => {
  served = await startTestApp();
  operator = await Operator.of(served, 'Tarn Valley Patient Transport');
  stranger = await Operator.of(served, 'Fell Side Coaches');
  api = operator.admin;
  // by distance alone, so that every move of a due date comes from readings
  await operator.follows([{ code: 'fluid-change', task: 'fluid-change', everyKm: 120_000 }]);
  fleetId = await operator.fleet('Patient transport');
  depotId = await operator.depot(fleetId, 'Upper Tarn');
});
afterAll(() => served.close());

let marks = 100;
function vehicle(more: object = {}): Promise<string> {
  marks += 1;
  return operator.vehicle(depotId, `TVP ${marks}`, {
    inServiceOn: '2023-08-12',
    inServiceOdometerKm: 0,
    ...more,
  });
}

/** Exactly 80 km a day, 96,080 km on 2026-11-25: the vehicle of the due rules' worked examples. */
const kmOn = (on: string): number => 96_080 - 80 * (toEpochDay(TODAY) - toEpochDay(on));
const fortnights = Array.from({ length: 20 }, (_, back) => addDays(TODAY, -14 * (19 - back)));
const rowsOf = (vehicleId: string, days: readonly string[]): OdometerReadingRow[] =>
  days.map((on) => ({
    vehicleId,
    readAt: `${on}T08:00:00Z`,
    value: kmOn(on),
    unit: 'km',
    source: 'workshop',
  }));

const worker = () => systemPrincipal(operator.organisationId, 'importing');
const inBatch = <T>(work: Parameters<Transactions['write']>[1]): Promise<T> =>
  served.app.get(Transactions).write({ principal: worker(), idempotency: null }, work) as Promise<T>;
const importReadings = (rows: OdometerReadingRow[]) =>
  inBatch<Awaited<ReturnType<OdometerReadingsService['writeBatch']>>>(async (tx) => {
    const results = await served.app.get(OdometerReadingsService).writeBatch(tx, worker(), rows);
    await served.app.get(DueItemsService).recompute(tx, worker(), [...new Set(rows.map((r) => r.vehicleId))]);
    return results;
  });

/** A vehicle with a reading every fortnight until today. */
async function readVehicle(more: object = {}): Promise<string> {
  const vehicleId = await vehicle(more);
  await importReadings(rowsOf(vehicleId, fortnights));
  return vehicleId;
}

const post = (vehicleId: string, body: object): Promise<OdometerReadingDto> =>
  api.ok<OdometerReadingDto>('post', `/v1/vehicles/${vehicleId}/odometer-readings`, {
    body: { source: 'driver-sheet', ...body },
  });
async function dueOn(vehicleId: string): Promise<string | null | undefined> {
  const { items } = await api.ok<VehicleDueItemsDto>('get', `/v1/vehicles/${vehicleId}/due-items`);
  return items[0]?.dueOn;
}
async function decide(
  { id }: { id: string },
  body: object,
  client = api,
): Promise<{ status: number; body: DecidedReadingDto }> {
  const { etag } = await api.call('get', `/v1/odometer-readings/${id}`);
  return client.call<DecidedReadingDto>('post', `/v1/odometer-readings/${id}/decision`, {
    ifMatch: etag,
    body,
  });
}

describe('recording a reading', () => {
  it('moves what is due by distance', async () => {
    const vehicleId = await readVehicle();
    // worked by hand: 23,920 km to go at 80 km a day are 299 days
    expect(await dueOn(vehicleId)).toBe('2027-09-20');
    const later = await vehicle();
    await importReadings(rowsOf(later, fortnights.slice(0, -1)));
    const reading = await post(later, { value: 96_080, readAt: '2026-11-25T08:00:00+00:00' });
    expect(reading).toMatchObject({
      state: 'accepted',
      unit: 'km',
      valueKm: 96_080,
      readAt: '2026-11-25T08:00:00.000Z',
      suspicions: [],
      suggestedValue: null,
      decidedAt: null,
      revision: 1,
    });
    expect(await dueOn(later)).toBe('2027-09-20');
    expect(await api.ok('get', `/v1/odometer-readings/${reading.id}`)).toEqual(reading);
  });

  it('is quarantined, explained and without effect where it cannot be right', async () => {
    const vehicleId = await vehicle();
    await importReadings(rowsOf(vehicleId, fortnights.slice(0, -1)));
    const before = await dueOn(vehicleId);
    const tooFar = await post(vehicleId, { value: 960_800, readAt: '2026-11-25T08:00:00Z' });
    expect(tooFar.state).toBe('quarantined');
    expect(tooFar.suspicions.map(({ code }) => code)).toEqual(
      expect.arrayContaining(['above-daily-maximum', 'likely-extra-digit']),
    );
    expect(tooFar.suspicions[0]!.explanation).toContain('960,800 km');
    const tooLow = await post(vehicleId, { value: 90_000, readAt: '2026-11-25T09:00:00Z' });
    expect(tooLow).toMatchObject({ state: 'quarantined' });
    expect(tooLow.suspicions[0]).toMatchObject({ code: 'below-previous' });
    const tomorrow = await post(vehicleId, { value: 96_160, readAt: '2026-11-26T08:00:00Z' });
    expect(tomorrow.suspicions[0]).toMatchObject({ code: 'future-instant' });
    expect(await dueOn(vehicleId)).toBe(before);
  });

  it('suggests what the reading probably was, in its own unit', async () => {
    const vehicleId = await vehicle();
    const rows = rowsOf(vehicleId, fortnights.slice(0, -1));
    await importReadings(rows.map((row) => ({ ...row, value: row.value - 56_080 })));
    // 40,000 km read off a display in miles: 24,855 mi x 1.609344 = 40,000.2 km
    const inMiles = await post(vehicleId, { value: 24_855, readAt: '2026-11-25T10:00:00Z' });
    expect(inMiles).toMatchObject({ state: 'quarantined', unit: 'km', suggestedValue: 40_000.2 });
    expect(inMiles.suspicions.map(({ code }) => code)).toContain('likely-unit-mix-up');
  });

  it('refuses what is not a reading, field by field', async () => {
    const path = `/v1/vehicles/${await vehicle()}/odometer-readings`;
    const good = { value: 1, readAt: '2026-11-25T08:00:00Z', source: 'workshop' };
    for (const [fault, pointer] of [
      [{ value: -1 }, '#/value'],
      [{ value: '1' }, '#/value'],
      [{ unit: 'm' }, '#/unit'],
      [{ unit: 'h' }, '#/unit'],
      [{ meter: 'engine-hours', unit: 'km' }, '#/unit'],
      [{ meter: 'clock' }, '#/meter'],
      [{ meter: null }, '#/meter'],
      [{ readAt: '2026-11-25T08:00:00' }, '#/readAt'],
      [{ readAt: '2026-02-30T08:00:00Z' }, '#/readAt'],
      [{ source: 'Driver Sheet' }, '#/source'],
      [{ externalKey: '' }, '#/externalKey'],
      [{ colour: 'red' }, '#/colour'],
    ] as const) {
      expect(await api.refused('post', path, { body: { ...good, ...fault } })).toEqual([422, pointer]);
    }
    const nowhere = `/v1/vehicles/019ac1f2-7a30-7b61-a0c3-5f1d0e6f2b11/odometer-readings`;
    expect(await api.refused('post', nowhere, { body: good })).toEqual([404]);
  });

  it('names the one on file when it comes again, and answers a repeated request from the first', async () => {
    const vehicleId = await vehicle();
    const path = `/v1/vehicles/${vehicleId}/odometer-readings`;
    const body = { value: 100, readAt: '2026-11-25T08:00:00Z', source: 'workshop', externalKey: 'WS-1' };
    const once = await api.call<OdometerReadingDto>('post', path, { body, idempotencyKey: 'reading-0001' });
    const again = await api.call<OdometerReadingDto>('post', path, { body, idempotencyKey: 'reading-0001' });
    expect([once.status, again.status, again.body.id]).toEqual([201, 201, once.body.id]);
    for (const [change, status] of [
      [{}, 409],
      [{ externalKey: null }, 409],
      [{ value: 101 }, 409],
      [{ externalKey: 'WS-2', readAt: '2026-11-25T09:00:00Z' }, 201],
    ] as const) {
      const answer = await api.call<{ existingId?: string }>('post', path, { body: { ...body, ...change } });
      expect(answer.status).toBe(status);
      if (status === 409) expect(answer.body.existingId).toBe(once.body.id);
    }
  });

  it('counts in the unit of the vehicle, and engine hours apart', async () => {
    const vehicleId = await vehicle({ odometerUnit: 'mi' });
    expect(await post(vehicleId, { value: 100, readAt: '2026-11-24T08:00:00Z' })).toMatchObject({
      unit: 'mi',
      valueKm: 160.9344,
    });
    const hours = { meter: 'engine-hours', value: 12.5, readAt: '2026-11-24T08:00:00Z' };
    expect(await post(vehicleId, hours)).toMatchObject({ unit: 'h', valueKm: null, state: 'accepted' });
    const { items } = await api.ok<OdometerReadingPageDto>(
      'get',
      `/v1/vehicles/${vehicleId}/odometer-readings?meter=engine-hours`,
    );
    expect(items.map(({ value }) => value)).toEqual([12.5]);
  });
});

describe('deciding about a reading', () => {
  it('accepts, accepts corrected, rejects; each once, with a revision and a role', async () => {
    const vehicleId = await vehicle();
    await importReadings(rowsOf(vehicleId, fortnights.slice(0, -1)));
    const before = await dueOn(vehicleId);
    const typo = await post(vehicleId, {
      value: 960_800,
      readAt: '2026-11-25T08:00:00Z',
      externalKey: 'DS-77',
    });
    const path = `/v1/odometer-readings/${typo.id}/decision`;
    const body = { decision: 'accept-corrected', value: 96_080, note: 'asked the driver' };
    expect(await api.refused('post', path, { body })).toEqual([428]);
    expect(await api.refused('post', path, { body, ifMatch: '"r9"' })).toEqual([412]);
    const technician = await operator.colleague('technician');
    expect((await decide(typo, body, technician)).status).toBe(403);
    for (const [fault, pointer] of [
      [{ decision: 'perhaps' }, '#/decision'],
      [{ note: '' }, '#/note'],
      [{ value: -1 }, '#/value'],
      [{ decision: 'reject' }, '#/value'],
      [{ value: undefined }, '#/value'],
      // below the reading before it
      [{ value: 9_608 }, '#/value'],
    ] as const) {
      const refusal = await api.refused('post', path, { body: { ...body, ...fault }, ifMatch: '"r1"' });
      expect(refusal).toEqual([422, pointer]);
    }
    const decided = await decide(typo, body);
    expect(decided.status).toBe(200);
    expect(decided.body).toMatchObject({ state: 'rejected', value: 960_800, revision: 2 });
    expect(decided.body.correctedReading).toMatchObject({ state: 'accepted', value: 96_080, unit: 'km' });
    expect(decided.body.correctedReading!.decisionNote).toContain(typo.id);
    expect(decided.body.decisionNote).toContain(decided.body.correctedReading!.id);
    expect(await dueOn(vehicleId)).toBe('2027-09-20');
    expect(before).not.toBeNull();
    expect((await decide(typo, body)).status).toBe(409);
    expect((await decide(decided.body.correctedReading!, { decision: 'reject', note: 'no' })).status).toBe(
      409,
    );

    const low = await post(vehicleId, { value: 90_000, readAt: '2026-11-25T09:00:00Z' });
    expect((await decide(low, { decision: 'accept', note: 'trust me' })).status).toBe(422);
    expect((await decide(low, { decision: 'reject', note: 'nonsense' })).body.state).toBe('rejected');
    expect(await dueOn(vehicleId)).toBe('2027-09-20');
    // what is on file is unchanged, whatever was decided
    const again = await importReadings([
      {
        vehicleId,
        readAt: '2026-11-25T08:00:00Z',
        value: 960_800,
        source: 'driver-sheet',
        externalKey: 'DS-77',
      },
      { vehicleId, readAt: '2026-11-25T09:00:00Z', value: 90_000, source: 'driver-sheet' },
    ]);
    expect(again.map(({ outcome, subjectId }) => [outcome, subjectId])).toEqual([
      ['unchanged', typo.id],
      ['unchanged', low.id],
    ]);
  });

  it('lets an unusual distance pass on a word, and takes back what was accepted on entry', async () => {
    const vehicleId = await vehicle();
    await importReadings(rowsOf(vehicleId, fortnights.slice(0, -1)));
    const before = await dueOn(vehicleId);
    const far = await post(vehicleId, { value: 110_000, readAt: '2026-11-25T08:00:00Z' });
    expect(far.suspicions.map(({ code }) => code)).toContain('above-daily-maximum');
    expect((await decide(far, { decision: 'accept', note: 'lent out across the country' })).body.state).toBe(
      'accepted',
    );
    expect(await dueOn(vehicleId)).not.toBe(before);

    const other = await vehicle();
    await importReadings(rowsOf(other, fortnights.slice(0, -1)));
    const wrong = await post(other, { value: 95_700, readAt: '2026-11-24T08:00:00Z' });
    expect(wrong.state).toBe('accepted');
    expect((await decide(wrong, { decision: 'accept', note: 'again' })).status).toBe(409);
    expect((await decide(wrong, { decision: 'reject', note: 'of another vehicle' })).body.state).toBe(
      'rejected',
    );
    expect(await dueOn(other)).toBe(before);
  });
});

describe('listing', () => {
  it('pages a vehicle newest first and the quarantine over vehicles, by fleet and depot', async () => {
    const otherDepot = await operator.depot(fleetId, 'Lower Tarn');
    const vehicleId = await operator.vehicle(otherDepot, 'TVP 900');
    await importReadings(rowsOf(vehicleId, fortnights));
    await post(vehicleId, { value: 5, readAt: '2026-11-25T09:00:00Z' });
    await post(vehicleId, { value: 6, readAt: '2026-11-25T09:30:00Z' });
    const seen: number[] = [];
    let path: string | null = `/v1/vehicles/${vehicleId}/odometer-readings?state=accepted&limit=8`;
    while (path !== null) {
      const page: OdometerReadingPageDto = await api.ok<OdometerReadingPageDto>('get', path);
      seen.push(...page.items.map(({ value }) => value));
      path =
        page.next === null
          ? null
          : `/v1/vehicles/${vehicleId}/odometer-readings?state=accepted&limit=8&cursor=${page.next}`;
    }
    expect(seen).toEqual(fortnights.map(kmOn).reverse());
    const list = `/v1/odometer-readings?state=quarantined&fleetId=${fleetId}&depotId=${otherDepot}`;
    const first = await api.ok<FleetOdometerReadingPageDto>('get', `${list}&limit=1`);
    const rest = await api.ok<FleetOdometerReadingPageDto>(
      'get',
      `${list}&limit=1&cursor=${first.next ?? ''}`,
    );
    expect([...first.items, ...rest.items]).toEqual([
      expect.objectContaining({ value: 5, registrationMark: 'TVP 900', depotId: otherDepot, fleetId }),
      expect.objectContaining({ value: 6, vehicleId }),
    ]);
    expect(rest.next).toBeNull();
    expect(await api.refused('get', '/v1/odometer-readings?state=lost')).toEqual([422, 'state']);
  });

  it('shows nothing to strangers', async () => {
    const vehicleId = await vehicle();
    const reading = await post(vehicleId, { value: 5, readAt: '2026-11-25T09:00:00Z' });
    const replaced = { replacedAt: '2026-11-25T10:00:00Z', oldFinalValue: 6, newInitialValue: 0 };
    for (const [method, path, body] of [
      ['get', `/v1/vehicles/${vehicleId}/odometer-readings`],
      [
        'post',
        `/v1/vehicles/${vehicleId}/odometer-readings`,
        { value: 1, readAt: '2026-11-25T08:00:00Z', source: 'x' },
      ],
      ['get', `/v1/odometer-readings/${reading.id}`],
      ['post', `/v1/odometer-readings/${reading.id}/decision`, { decision: 'reject', note: 'mine' }],
      ['get', `/v1/vehicles/${vehicleId}/odometer-replacements`],
      ['post', `/v1/vehicles/${vehicleId}/odometer-replacements`, replaced],
      ['get', `/v1/vehicles/${vehicleId}/usage`],
    ] as const) {
      expect(await stranger.admin.refused(method, path, { body, ifMatch: '"r1"' })).toEqual([404]);
    }
    expect(await stranger.admin.ok('get', '/v1/odometer-readings')).toEqual({ items: [], next: null });
  });
});

describe('an instrument that was replaced', () => {
  // worked by hand: taken out at 81,250 km, the new one shows 12 km; now 3,412 km are 84,650 km in all
  it('keeps the total, and offers the readings that it explains', async () => {
    const vehicleId = await vehicle();
    await importReadings([
      { vehicleId, readAt: '2026-08-01T08:00:00Z', value: 77_000, source: 'workshop' },
      { vehicleId, readAt: '2026-09-20T08:00:00Z', value: 81_100, source: 'workshop' },
    ]);
    const early = await post(vehicleId, { value: 1_500, readAt: '2026-10-20T08:00:00Z' });
    const late = await post(vehicleId, { value: 3_412, readAt: '2026-11-20T08:00:00Z' });
    const wild = await post(vehicleId, { value: 70_000, readAt: '2026-11-21T08:00:00Z' });
    expect([early.state, late.state, wild.state]).toEqual(['quarantined', 'quarantined', 'quarantined']);
    const path = `/v1/vehicles/${vehicleId}/odometer-replacements`;
    const body = { replacedAt: '2026-09-22T10:00:00Z', oldFinalValue: 81_250, newInitialValue: 12 };
    for (const [fault, pointer] of [
      [{ oldFinalValue: 81_000 }, '#/oldFinalValue'],
      [{ oldFinalValue: 99_000 }, '#/oldFinalValue'],
      [{ replacedAt: '2026-11-26T10:00:00Z' }, '#/replacedAt'],
      [{ replacedAt: 'yesterday' }, '#/replacedAt'],
      [{ newUnit: 'h' }, '#/newUnit'],
      [{ newInitialValue: -1 }, '#/newInitialValue'],
    ] as const) {
      expect(await api.refused('post', path, { body: { ...body, ...fault } })).toEqual([422, pointer]);
    }
    const recorded = await api.ok<RecordedReplacementDto>('post', path, { body });
    expect(recorded).toMatchObject({ oldUnit: 'km', newUnit: 'km', meter: 'odometer', revision: 1 });
    expect(recorded.readingsToDecideAgain.map(({ id, revision }) => [id, revision])).toEqual([
      [early.id, 1],
      [late.id, 1],
    ]);
    // offered, not accepted
    expect(await api.ok('get', `/v1/odometer-readings/${late.id}`)).toMatchObject({ state: 'quarantined' });
    for (const reading of [early, late]) {
      expect((await decide(reading, { decision: 'accept', note: 'new instrument' })).body.state).toBe(
        'accepted',
      );
    }
    const usage = await api.ok<UsageDto>('get', `/v1/vehicles/${vehicleId}/usage?on=2026-11-20`);
    expect(usage.onDay).toMatchObject({ how: 'read', total: { median: 84_650 }, shown: { median: 3_412 } });

    const again = await api.call<{ existingId?: string }>('post', path, { body });
    expect([again.status, again.body.existingId]).toEqual([409, recorded.id]);
    const one = `/v1/odometer-replacements/${recorded.id}`;
    expect(await api.refused('delete', one)).toEqual([428]);
    expect(await api.refused('delete', one, { ifMatch: '"r7"' })).toEqual([412]);
    // the accepted readings of the new instrument rest on it
    expect(await api.refused('delete', one, { ifMatch: '"r1"' })).toEqual([409]);
    const wrongValue = { ifMatch: '"r1"', body: { oldFinalValue: 80_000 } };
    expect(await api.refused('patch', one, wrongValue)).toEqual([422, '#/oldFinalValue']);
    const changed = await api.ok<RecordedReplacementDto>('patch', one, {
      ifMatch: '"r1"',
      body: { oldFinalValue: 81_260, note: 'read again' },
    });
    expect(changed).toMatchObject({ oldFinalValue: 81_260, note: 'read again', revision: 2 });
    const after = await api.ok<UsageDto>('get', `/v1/vehicles/${vehicleId}/usage?on=2026-11-20`);
    expect(after.onDay.total!.median).toBe(84_660);
    expect(await api.ok('get', path)).toMatchObject({ items: [{ id: recorded.id }], next: null });
    expect(await stranger.admin.refused('get', one)).toEqual([404]);
    expect(await stranger.admin.refused('delete', one, { ifMatch: '"r2"' })).toEqual([404]);
  });

  it('can be taken back while nothing rests on it', async () => {
    const vehicleId = await readVehicle();
    const path = `/v1/vehicles/${vehicleId}/odometer-replacements`;
    const body = {
      replacedAt: '2026-11-25T10:00:00Z',
      oldFinalValue: 96_090,
      newInitialValue: 0,
      newUnit: 'mi',
    };
    const recorded = await api.ok<RecordedReplacementDto>('post', path, { body });
    const inMiles = await post(vehicleId, { value: 1, readAt: '2026-11-25T11:00:00Z' });
    expect(inMiles).toMatchObject({ unit: 'mi', state: 'accepted' });
    await decide(inMiles, { decision: 'reject', note: 'the old one is still in' });
    const one = `/v1/odometer-replacements/${recorded.id}`;
    expect((await api.call('delete', one, { ifMatch: '"r1"' })).status).toBe(204);
    expect(await api.refused('get', one)).toEqual([404]);
    expect(await dueOn(vehicleId)).toBe('2027-09-20');
    const [entry] = await operator.sql<{ action: string; before: OdometerReplacementDto }>(
      `SELECT action, before FROM audit_entries WHERE subject_id = $1 AND action = 'deleted'`,
      [recorded.id],
    );
    expect(entry!.before.oldFinalValue).toBe(96_090);
  });
});

describe('a batch of readings', () => {
  it('judges each row against what is on file and against the rows before it in time', async () => {
    const vehicleId = await vehicle();
    const other = await vehicle();
    const good = rowsOf(vehicleId, fortnights);
    // as three exports pasted together: out of order, with slips and repetitions
    const shuffled = [...good.slice(10), ...good.slice(0, 10)];
    const slip = { ...good[12]!, readAt: '2026-08-20T09:00:00Z', value: 8_840, externalKey: 'DS-1' };
    const results = await importReadings([
      ...shuffled,
      slip,
      { ...slip },
      { ...good[0]! },
      { ...good[1]!, unit: 'h' },
      { ...good[1]!, vehicleId: '019ac1f2-7a30-7b61-a0c3-5f1d0e6f2b11' },
      ...rowsOf(other, [TODAY]),
      { ...slip, value: 8_841 },
    ]);
    expect(results.slice(0, 20).map(({ outcome }) => outcome)).toEqual(Array(20).fill('created'));
    expect(results.slice(20).map(({ outcome }) => outcome)).toEqual([
      'quarantined',
      'unchanged',
      'unchanged',
      'rejected',
      'rejected',
      'created',
      'rejected',
    ]);
    expect(results[21]!.subjectId).toBe(results[20]!.subjectId);
    expect(results[22]!.subjectId).toBe(results[10]!.subjectId);
    expect(results.flatMap(({ errors }) => errors.map(({ pointer }) => pointer))).toEqual([
      '#/unit',
      '#/vehicleKey',
      '#/externalKey',
    ]);
    expect(await dueOn(vehicleId)).toBe('2027-09-20');
    const again = await importReadings([...shuffled, slip]);
    expect(new Set(again.map(({ outcome }) => outcome))).toEqual(new Set(['unchanged']));
    expect(again.map(({ subjectId }) => subjectId)).toEqual(
      results.slice(0, 21).map(({ subjectId }) => subjectId),
    );
  });

  it('takes a few statements for a thousand rows', async () => {
    const vehicles = await Promise.all(Array.from({ length: 10 }, () => vehicle()));
    const days = Array.from({ length: 100 }, (_, back) => addDays(TODAY, -7 * (99 - back)));
    const rows = vehicles.flatMap((vehicleId) => rowsOf(vehicleId, days));
    const { result: results, statements } = await countStatements(() =>
      inBatch<{ outcome: string }[]>((tx) =>
        served.app.get(OdometerReadingsService).writeBatch(tx, worker(), rows),
      ),
    );
    expect(results.filter(({ outcome }) => outcome === 'created')).toHaveLength(1_000);
    expect(statements).toBeGreaterThan(0);
    expect(statements).toBeLessThan(50);
  });

  it('of replacements repeats nothing and refuses what the readings contradict', async () => {
    const vehicleId = await readVehicle();
    const row = {
      vehicleId,
      replacedAt: '2026-11-25T10:00:00Z',
      oldFinalValue: 96_090,
      newInitialValue: 0,
      externalKey: 'RP-1',
    };
    const write = (rows: object[]) =>
      inBatch<{ outcome: string; errors: { pointer?: string }[] }[]>((tx) =>
        served.app.get(OdometerReplacementsService).writeBatch(tx, worker(), rows as (typeof row)[]),
      );
    const outcomes = async (rows: object[]) =>
      (await write(rows)).map(({ outcome, errors }) => [outcome, ...errors.map(({ pointer }) => pointer)]);
    expect(
      await outcomes([
        { ...row, replacedAt: '2026-11-25T09:00:00Z', oldFinalValue: 90_000, externalKey: null },
        row,
        row,
        { ...row, externalKey: null },
        { ...row, externalKey: null, oldFinalValue: 96_095 },
      ]),
    ).toEqual([
      ['rejected', '#/oldFinalValue'],
      ['created'],
      ['unchanged'],
      ['unchanged'],
      ['rejected', '#/replacedAt'],
    ]);
    expect(await outcomes([row, { ...row, oldFinalValue: 96_100 }])).toEqual([['unchanged'], ['updated']]);
    expect(await outcomes([{ ...row, oldFinalValue: 90_000 }])).toEqual([['rejected', '#/oldFinalValue']]);
    const { items } = await api.ok<{ items: OdometerReplacementDto[] }>(
      'get',
      `/v1/vehicles/${vehicleId}/odometer-replacements`,
    );
    expect(items.map(({ oldFinalValue, revision }) => [oldFinalValue, revision])).toEqual([[96_100, 2]]);
  });
});
