import { Writable } from 'node:stream';
import ICAL from 'ical.js';
import type {
  CalendarFeedDto,
  CalendarFeedWithAddressDto,
} from '../../src/modules/calendar-feeds/dto/calendar-feed.dto';
import type { BookingDto } from '../../src/modules/bookings/dto/booking.dto';
import { packIds } from '../../src/platform/security/packed-ids';
import { sha256 } from '../../src/platform/security/api-key-token';
import { asOwner } from '../support/api-client';
import { tokenOf, type HeldClient } from '../support/oauth-client';
import { octetLinesOf } from '../support/octet-lines';
import { send, type Message, type Sent } from '../support/send';
import { startTestApp, TEST_NOW, type TestApp } from '../support/test-app';
import { buildWorld, type World } from '../support/world';

// RFC 5545, read by ical.js; conditional reading: RFC 9110, section 13; RFC 7986, section 5.7.

const UNCOUNTED = {
  requestsPerMinute: 10_000_000,
  calendarReadsPerMinute: 10_000_000,
  signInsPerMinute: 10_000_000,
};
const DAY = 86_400_000;

let test: TestApp;
let mine: World;
let theirs: World;
beforeAll(async () => {
  test = await startTestApp(UNCOUNTED);
  mine = await buildWorld(test, 'Tarn Valley Patient Transport');
  theirs = await buildWorld(test, 'Another operator');
});
afterAll(() => test.close());

async function ask<T>(method: string, path: string, message: Message = {}, world = mine): Promise<T> {
  const answer = await send(test, method, path, { key: world.keys.administrator, ...message });
  if (answer.status >= 300)
    throw new Error(`${method} ${path} was answered ${answer.status}: ${answer.text}`);
  return answer.body as T;
}

const diaryOf = (world: World): string => `/v1/workshops/${world.ids.workshopId ?? ''}/calendar-feeds`;
const offRoadOf = (world: World): string => `/v1/depots/${world.ids.depotId ?? ''}/calendar-feeds`;

async function feedAt(
  path: string,
  body: object = {},
  key = mine.keys.administrator,
): Promise<CalendarFeedWithAddressDto> {
  return ask('POST', path, { key, body: { label: 'front desk', ...body } });
}

const pathOf = ({ address }: { address: string | null }): string => new URL(address ?? '').pathname;

/** Reads a calendar as its reader does: by its address, without a key. */
const open = (
  feed: { address: string | null },
  headers: Record<string, string> = {},
  on = test,
): Promise<Sent> => send(on, 'GET', pathOf(feed), { headers });

interface Event {
  status: string;
  sequence: number;
  starts: string;
  ends: string;
  summary: string;
  text: string;
  modified: string;
  stamp: string;
  isDate: boolean;
}

async function eventsOf(feed: { address: string | null }): Promise<Map<string, Event>> {
  const { status, text } = await open(feed);
  expect(status).toBe(200);
  for (const line of octetLinesOf(text)) expect(line.length).toBeLessThanOrEqual(75);
  const components = new ICAL.Component(ICAL.parse(text) as unknown[]).getAllSubcomponents('vevent');
  const events = components.map((component): [string, Event] => {
    const event = new ICAL.Event(component);
    const said = (name: string): string => String(component.getFirstPropertyValue(name));
    return [
      event.uid.split('.')[0] ?? '',
      {
        status: said('status'),
        sequence: event.sequence,
        starts: event.startDate.toString(),
        ends: event.endDate.toString(),
        summary: event.summary,
        text: `${event.summary}\n${event.location}\n${event.description}`,
        modified: said('last-modified'),
        stamp: said('dtstamp'),
        isDate: event.startDate.isDate,
      },
    ];
  });
  expect(new Set(events.map(([uid]) => uid)).size).toBe(events.length);
  return new Map(events);
}

async function book(startsAt: string, more: object = {}, world = mine): Promise<BookingDto> {
  const { vehicleId, workshopId } = world.ids;
  const work = { dueItemKeys: [], extraWork: [{ title: 'Look it over', minutes: 60 }] };
  return ask('POST', '/v1/bookings', { body: { vehicleId, workshopId, startsAt, ...work, ...more } }, world);
}

const step = (booking: BookingDto, path: string, body: object = {}): Promise<BookingDto> =>
  ask('POST', `/v1/bookings/${booking.id}/${path}`, {
    body,
    headers: { 'if-match': `"r${booking.revision}"` },
  });

describe('the diary of a workshop', () => {
  it('follows a booking through its life: one UID, a rising SEQUENCE, and at last CANCELLED', async () => {
    const feed = await feedAt(diaryOf(mine));
    const provisional = await book('2026-12-14T09:00:00Z', { holdMinutes: 30 });
    const seen: Event[] = [];
    const look = async (): Promise<void> => {
      const event = (await eventsOf(feed)).get(provisional.id);
      if (event !== undefined) seen.push(event);
    };
    await look();
    const confirmed = await step(provisional, 'confirmation');
    await look();
    const moved = await ask<BookingDto>('PATCH', `/v1/bookings/${confirmed.id}`, {
      body: { startsAt: '2026-12-15T10:00:00Z' },
      headers: { 'if-match': `"r${confirmed.revision}"` },
    });
    await look();
    await step(moved, 'cancellation', { reason: 'another day' });
    await look();
    expect(seen.map(({ status, sequence, starts }) => [status, sequence, starts])).toEqual([
      ['TENTATIVE', 0, '2026-12-14T09:00:00Z'],
      ['CONFIRMED', 1, '2026-12-14T09:00:00Z'],
      ['CONFIRMED', 2, '2026-12-15T10:00:00Z'],
      ['CANCELLED', 3, '2026-12-15T10:00:00Z'],
    ]);
    const modified = seen.map((event) => event.modified);
    expect([...modified].sort()).toEqual(modified);
    expect(seen.every(({ stamp, modified: at }) => stamp === at)).toBe(true);
    expect(seen[0]?.summary).toBe('TVP 101: Look it over');

    // four weeks later calendars have taken it off
    const closedBefore = (minutes: number): Promise<unknown> =>
      asOwner(
        test,
        mine.organisation.organisationId,
        `UPDATE bookings SET closed_at = now() - interval '28 days' - make_interval(mins => $2) WHERE id = $1`,
        [moved.id, minutes],
      );
    await closedBefore(-10);
    expect((await eventsOf(feed)).has(moved.id)).toBe(true);
    await closedBefore(0);
    expect((await eventsOf(feed)).has(moved.id)).toBe(false);
  });

  it('shows a provisional booking that nobody confirmed as cancelled, before that has been written down and after', async () => {
    const feed = await feedAt(diaryOf(mine));
    const booking = await book('2026-12-16T09:00:00Z', { holdMinutes: 30 });
    const { organisationId } = mine.organisation;
    await asOwner(
      test,
      organisationId,
      `UPDATE bookings SET provisional_until = now() - interval '1 second' WHERE id = $1`,
      [booking.id],
    );
    const lapsed = (await eventsOf(feed)).get(booking.id);
    expect(lapsed).toMatchObject({ status: 'CANCELLED', sequence: 1 });
    await asOwner(
      test,
      organisationId,
      `UPDATE bookings SET state = 'lapsed', closed_at = provisional_until, revision = revision + 1 WHERE id = $1`,
      [booking.id],
    );
    expect((await eventsOf(feed)).get(booking.id)).toMatchObject({ status: 'CANCELLED', sequence: 1 });
  });

  it('reaches from four weeks back to 26 weeks ahead', async () => {
    const feed = await feedAt(diaryOf(mine));
    const booking = await book('2026-12-17T09:00:00Z');
    // the days of the workshop, which is in London: 2026-12-17 lies 182 days after 2026-06-18, and 28 before 2027-01-14
    const shown: [string, boolean][] = [
      ['2026-06-17T22:59:59Z', false],
      ['2026-06-17T23:00:00Z', true],
      ['2027-01-14T23:59:59Z', true],
      ['2027-01-15T00:00:00Z', false],
    ];
    try {
      for (const [now, expected] of shown) {
        test.setNow(Date.parse(now));
        expect([now, (await eventsOf(feed)).has(booking.id)]).toEqual([now, expected]);
      }
    } finally {
      test.setNow(TEST_NOW);
    }
  });

  it('changes when a vehicle is given another name', async () => {
    const feed = await feedAt(diaryOf(mine));
    const booking = await book('2026-12-18T09:00:00Z');
    const before = (await eventsOf(feed)).get(booking.id);
    const path = `/v1/vehicles/${mine.ids.vehicleId ?? ''}`;
    const { headers } = await send(test, 'GET', path, { key: mine.keys.administrator });
    const renamed = await ask<{ revision: number }>('PATCH', path, {
      body: { registrationMark: 'TVP 111' },
      headers: { 'if-match': headers.etag ?? '' },
    });
    const after = (await eventsOf(feed)).get(booking.id);
    expect(after?.summary).toBe('TVP 111: Look it over');
    expect((after?.modified ?? '') >= (before?.modified ?? '')).toBe(true);
    await ask('PATCH', path, {
      body: { registrationMark: 'TVP 101' },
      headers: { 'if-match': `"r${renamed.revision}"` },
    });
  });

  it('keeps names out unless they were asked for', async () => {
    const booking = await book('2026-12-21T09:00:00Z', {
      contact: 'ward 7, extension 12',
      note: 'bring the ramp key',
      technicianIds: [mine.ids.technicianId],
    });
    const names = ['Alder', 'ward 7, extension 12', 'bring the ramp key'];
    const without = (await eventsOf(await feedAt(diaryOf(mine)))).get(booking.id)?.text ?? '';
    const withNames =
      (await eventsOf(await feedAt(diaryOf(mine), { withNames: true }))).get(booking.id)?.text ?? '';
    expect(names.filter((name) => without.includes(name))).toEqual([]);
    expect(names.filter((name) => withNames.includes(name))).toEqual(names);
  });
});

describe('the off-road days of a depot', () => {
  it('are whole days: recorded periods, and bookings; what is deleted is cancelled', async () => {
    const feed = await feedAt(offRoadOf(mine));
    const period = await ask<{ id: string; revision: number }>(
      'POST',
      `/v1/vehicles/${mine.ids.vehicleId ?? ''}/off-road-periods`,
      { body: { fromOn: '2026-12-28', untilOn: '2026-12-31', reason: 'body work, "left"; door' } },
    );
    const booking = await book('2026-12-22T09:00:00Z');
    const events = await eventsOf(feed);
    expect(events.get(period.id)).toMatchObject({
      isDate: true,
      starts: '2026-12-28',
      ends: '2026-12-31',
      status: 'CONFIRMED',
      sequence: 0,
    });
    expect(events.get(period.id)?.text).toContain('body work, "left"; door');
    expect(events.get(booking.id)).toMatchObject({ isDate: true, starts: '2026-12-22', ends: '2026-12-23' });

    await send(test, 'DELETE', `/v1/off-road-periods/${period.id}`, {
      key: mine.keys.administrator,
      headers: { 'if-match': `"r${period.revision}"` },
    });
    expect((await eventsOf(feed)).get(period.id)).toMatchObject({ status: 'CANCELLED', sequence: 1 });
    await step(booking, 'cancellation', { reason: 'another day' });
    expect((await eventsOf(feed)).get(booking.id)).toMatchObject({ status: 'CANCELLED', sequence: 1 });
    test.setNow(TEST_NOW + 400 * DAY);
    expect((await eventsOf(feed)).size).toBe(0);
    test.setNow(TEST_NOW);
  });
});

describe('an address', () => {
  it('is shown once, and only its digest is kept', async () => {
    const headers = { 'idempotency-key': 'one-feed-please' };
    const body = { label: 'front desk' };
    const feed = await ask<CalendarFeedWithAddressDto>('POST', diaryOf(mine), { body, headers });
    const secret = /^\/v1\/calendars\/cf_[\w-]{43}_([\w-]{43})\/calendar\.ics$/.exec(pathOf(feed))?.[1] ?? '';
    expect(Buffer.from(secret, 'base64url')).toHaveLength(32);
    const again = await ask<CalendarFeedWithAddressDto>('POST', diaryOf(mine), { body, headers });
    expect([again.id, again.address]).toEqual([feed.id, null]);
    const { address, ...rest } = feed;
    expect(address).toContain(secret);
    expect(await ask('GET', `/v1/calendar-feeds/${feed.id}`)).toEqual(rest);

    const { organisationId } = mine.organisation;
    const [stored] = await asOwner<{ digest: Buffer }>(
      test,
      organisationId,
      'SELECT secret_sha256 AS digest FROM calendar_feeds WHERE id = $1',
      [feed.id],
    );
    expect(stored?.digest.equals(sha256(secret))).toBe(true);
    const kept = ['calendar_feeds', 'audit_entries', 'events', 'idempotency_records'].map(
      (table) => `SELECT count(*) FILTER (WHERE t::text LIKE '%' || $1 || '%') AS count FROM ${table} t`,
    );
    const found = await asOwner<{ count: string }>(test, organisationId, kept.join(' UNION ALL '), [secret]);
    expect(found.map(({ count }) => count)).toEqual(['0', '0', '0', '0']);
  });

  it('is masked in the log, and in the problem that it is answered with', async () => {
    let log = '';
    const written = new Writable({
      write: (chunk: Buffer, _, done) => {
        log += chunk.toString();
        done();
      },
    });
    const logging = await startTestApp({ ...UNCOUNTED, logLevel: 'debug' }, { beside: test, log: written });
    try {
      const feed = await feedAt(diaryOf(mine));
      const secret = pathOf(feed).split('/')[3] ?? '';
      expect((await open(feed, {}, logging)).status).toBe(200);
      const wrong = await send(logging, 'GET', `/v1/calendars/${secret}x/calendar.ics`);
      const nowhere = await send(logging, 'GET', `/v1/calendars/${secret}`);
      // no text that the database could be asked for
      const unstorable = await send(logging, 'GET', '/v1/calendars/%00/calendar.ics');
      expect([wrong.status, nowhere.status, unstorable.status]).toEqual([404, 404, 404]);
      expect(log).toContain('/v1/calendars/(secret)/calendar.ics');
      for (const text of [log, wrong.text, nowhere.text]) expect(text).not.toContain(secret);
    } finally {
      await logging.close();
    }
  });

  it('opens nothing once it is rotated or revoked, and looks like one that never was', async () => {
    const feed = await feedAt(diaryOf(mine));
    const rotated = await ask<CalendarFeedWithAddressDto>('POST', `/v1/calendar-feeds/${feed.id}/rotate`);
    expect([rotated.id, rotated.secretId === feed.secretId]).toEqual([feed.id, false]);
    expect((await open(rotated)).status).toBe(200);
    const revoked = await feedAt(diaryOf(mine));
    expect((await open(revoked)).status).toBe(200);
    await send(test, 'DELETE', `/v1/calendar-feeds/${revoked.id}`, {
      key: mine.keys.administrator,
      headers: { 'if-match': '"r1"' },
    });
    const [, , , right = ''] = pathOf(rotated).split('/');
    const [ids = '', secret = ''] = right.slice(3).split(/_(?=.{43}$)/);
    const of = (organisationId: string, id: string): string => `cf_${packIds(organisationId, id)}_${secret}`;
    const { organisationId } = mine.organisation;
    const addresses: [string, string][] = [
      ['rotated', pathOf(feed).split('/')[3] ?? ''],
      ['revoked', pathOf(revoked).split('/')[3] ?? ''],
      ['another secret', `cf_${ids}_${'A'.repeat(43)}`],
      ['another feed', of(organisationId, mine.ids.calendarFeedId ?? '')],
      ['no such feed', of(organisationId, '0198a000-0000-7000-8000-0000000000ff')],
      ['another organisation', of(theirs.organisation.organisationId, rotated.id)],
      ['no such organisation', of('0198a000-0000-7000-8000-0000000000ff', rotated.id)],
      ['a key', mine.keys.administrator],
      ['the same as a key', `pk_${ids}_${secret}`],
      ['garbage', 'x'],
    ];
    for (const [what, address] of addresses) {
      const answer = await send(test, 'GET', `/v1/calendars/${address}/calendar.ics`);
      const { requestId, ...problem } = answer.body;
      expect([what, answer.status, problem]).toEqual([
        what,
        404,
        {
          type: '/problems/not-found',
          title: expect.any(String) as string,
          status: 404,
          detail: 'There is no calendar at this address.',
          remedy: expect.any(String) as string,
          instance: '/v1/calendars/(secret)/calendar.ics',
        },
      ]);
      expect(requestId).toEqual(expect.any(String));
      expect(answer.headers.etag).toBeUndefined();
    }
    const gone = await send(test, 'POST', `/v1/calendar-feeds/${revoked.id}/rotate`, {
      key: mine.keys.administrator,
    });
    expect([gone.status, gone.body.type]).toEqual([409, '/problems/state-conflict']);
  });

  it('is no key', async () => {
    const feed = await feedAt(diaryOf(mine));
    const [, , , secret = ''] = pathOf(feed).split('/');
    expect((await send(test, 'GET', '/v1/bookings', { key: secret })).status).toBe(401);
    expect((await send(test, 'POST', pathOf(feed), { body: {} })).status).toBe(405);
  });

  it('is made by whoever may manage access alone', async () => {
    const client = await ask<HeldClient>('POST', '/v1/oauth-clients', {
      body: { name: 'reads and writes', role: 'administrator', scopes: ['read', 'write'] },
    });
    const key = await tokenOf(test, client);
    const answer = await send(test, 'POST', diaryOf(mine), { key, body: { label: 'front desk' } });
    expect([answer.status, answer.body.type]).toEqual([403, '/problems/insufficient-scope']);
    expect((await send(test, 'GET', '/v1/calendar-feeds', { key })).status).toBe(403);
  });
});

describe('a reader', () => {
  it('gets the calendar again only when it has changed', async () => {
    const feed = await feedAt(diaryOf(mine));
    const first = await open(feed);
    const { etag = '' } = first.headers;
    expect(first.headers).toMatchObject({
      'content-type': 'text/calendar; charset=utf-8',
      'cache-control': 'private, no-cache',
      'referrer-policy': 'no-referrer',
      'x-robots-tag': 'noindex, nofollow',
    });
    expect(etag).toMatch(/^"[\w-]{43}"$/);
    const same = await open(feed, { 'if-none-match': `"other", W/${etag}` });
    expect([same.status, same.text, same.headers.etag]).toEqual([304, '', etag]);
    await book('2026-12-23T09:00:00Z');
    const changed = await open(feed, { 'if-none-match': etag });
    expect(changed.status).toBe(200);
    expect(changed.headers.etag).not.toBe(etag);
  });

  it('is noted, which is no change of the feed', async () => {
    const feed = await feedAt(diaryOf(mine));
    const path = `/v1/calendar-feeds/${feed.id}`;
    expect((await ask<CalendarFeedDto>('GET', path)).lastReadAt).toBeNull();
    await open(feed);
    const read = await ask<CalendarFeedDto>('GET', path);
    expect(read.lastReadAt).toEqual(expect.any(String));
    expect(read.revision).toBe(feed.revision);
    await open(feed);
    expect((await ask<CalendarFeedDto>('GET', path)).lastReadAt).toBe(read.lastReadAt);
  });

  it('may read so many times a minute, and guess so many times', async () => {
    const feed = await feedAt(diaryOf(mine));
    const slow = await startTestApp({ ...UNCOUNTED, calendarReadsPerMinute: 3 }, { beside: test });
    const wary = await startTestApp({ ...UNCOUNTED, signInsPerMinute: 3 }, { beside: test });
    try {
      const reads: number[] = [];
      for (let n = 0; n < 4; n++) reads.push((await open(feed, {}, slow)).status);
      expect(reads).toEqual([200, 200, 200, 429]);
      expect((await open(feed, {}, slow)).headers['retry-after']).toMatch(/^\d+$/);
      const guesses: number[] = [];
      const guess = (): Promise<Sent> => send(wary, 'GET', '/v1/calendars/guess/calendar.ics');
      for (let n = 0; n < 4; n++) guesses.push((await guess()).status);
      expect(guesses.at(-1)).toBe(429);
    } finally {
      await slow.close();
      await wary.close();
    }
  });
});

describe('who sees what', () => {
  it('nobody sees another organisation', async () => {
    const ours = await book('2027-01-05T09:00:00Z');
    const others = await book('2027-01-05T09:00:00Z', {}, theirs);
    for (const path of [diaryOf, offRoadOf]) {
      const feed = await feedAt(path(mine));
      const foreign = await feedAt(path(theirs), {}, theirs.keys.administrator);
      const [mineSeen, theirsSeen] = [await eventsOf(feed), await eventsOf(foreign)];
      expect([mineSeen.has(ours.id), mineSeen.has(others.id)]).toEqual([true, false]);
      expect([theirsSeen.has(ours.id), theirsSeen.has(others.id)]).toEqual([false, true]);
    }
  });

  it('a feed shows the fleets of the key that made it, also where the workshop works for others', async () => {
    const ours = await book('2027-01-06T09:00:00Z');
    const { administrator } = mine.otherFleet.keys;
    const ofOtherFleet = await book('2027-01-06T11:00:00Z', { vehicleId: mine.otherFleet.vehicleId });
    const all = await eventsOf(await feedAt(diaryOf(mine)));
    const feed = await feedAt(diaryOf(mine), {}, administrator);
    expect(feed.fleetIds).toEqual([mine.otherFleet.id]);
    const some = await eventsOf(feed);
    expect([all.has(ours.id), all.has(ofOtherFleet.id)]).toEqual([true, true]);
    expect([...some.keys()]).toEqual([ofOtherFleet.id]);
    // nor does it see, rotate or revoke what shows more
    const wide = await feedAt(diaryOf(mine));
    const listed = await ask<{ items: CalendarFeedDto[] }>('GET', '/v1/calendar-feeds', {
      key: administrator,
    });
    expect(listed.items.map(({ id }) => id)).toContain(feed.id);
    expect(listed.items.every(({ fleetIds }) => fleetIds?.[0] === mine.otherFleet.id)).toBe(true);
    const rotate = await send(test, 'POST', `/v1/calendar-feeds/${wide.id}/rotate`, { key: administrator });
    expect(rotate.status).toBe(404);
  });

  it('a feed shows the workshops of the key that made it', async () => {
    const booking = await book('2027-01-07T09:00:00Z');
    const { items } = await ask<{ items: { id: string }[] }>('GET', '/v1/workshops');
    const other = items.find(({ id }) => id !== mine.ids.workshopId)?.id ?? '';
    const keyOf = async (workshopId: string): Promise<string> =>
      (
        await ask<{ key: string }>('POST', '/v1/api-keys', {
          body: { name: 'of one workshop', role: 'administrator', workshopIds: [workshopId] },
        })
      ).key;
    const here = await eventsOf(await feedAt(offRoadOf(mine), {}, await keyOf(mine.ids.workshopId ?? '')));
    const elsewhereKey = await keyOf(other);
    const elsewhere = await eventsOf(await feedAt(offRoadOf(mine), {}, elsewhereKey));
    expect([here.has(booking.id), elsewhere.has(booking.id)]).toEqual([true, false]);
    const refused = await send(test, 'POST', diaryOf(mine), {
      key: elsewhereKey,
      body: { label: 'front desk' },
    });
    expect(refused.status).toBe(404);
  });

  it('changes of feeds are told to administrators alone, and never with an address', async () => {
    const feed = await feedAt(diaryOf(mine));
    const changes = async (key: string): Promise<string> =>
      (await send(test, 'GET', '/v1/changes?types=calendar-feed.created&limit=500', { key })).text;
    expect(await changes(mine.keys.administrator)).toContain(feed.id);
    expect(await changes(mine.keys.administrator)).not.toContain('calendar.ics');
    expect(await changes(mine.keys['front-desk'])).not.toContain(feed.id);
  });
});
