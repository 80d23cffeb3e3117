import { randomUUID } from 'node:crypto';
import { Passwords } from '../../src/platform/security/passwords';
import { SESSION_COOKIE } from '../../src/platform/security/session-cookie';
import { ownerSql } from '../support/owner-sql';
import { acceptInvitation, invitePerson, PASSWORD, sessionIn, signedInPerson } from '../support/people';
import { send, type Message, type Sent } from '../support/send';
import { startTestApp, type TestApp } from '../support/test-app';

// Sessions: OWASP Session Management Cheat Sheet; passwords: NIST SP 800-63B-4, section 3.1.1.2; cookies: RFC 6265 and
// draft-ietf-httpbis-rfc6265bis; other sites: W3C Fetch Metadata Request Headers.

const OFFICE = '192.0.2.10';
const PLENTY = { requestsPerMinute: 1_000_000, signInsPerMinute: 1_000_000 };

let test: TestApp;
let key: string;
let organisationId: string;
beforeAll(async () => {
  // whoever is tested behind a proxy says by X-Forwarded-For which network it is in
  test = await startTestApp({ ...PLENTY, trustedProxies: ['127.0.0.1'] });
  ({ administratorKey: key, organisationId } = await test.organisation('Tarn Valley Patient Transport'));
});
afterAll(() => test.close());
afterEach(() => jest.restoreAllMocks());

const sql = <Row>(text: string, parameters: unknown[] = []): Promise<Row[]> =>
  ownerSql(test, text, parameters);

const signIn = (email: string, password = PASSWORD, from = OFFICE, more: object = {}): Promise<Sent> =>
  send(test, 'POST', '/v1/sessions', {
    headers: { 'x-forwarded-for': from },
    body: { email, password, ...more },
  });

const whoAmI = (session: string): Promise<Sent> => send(test, 'GET', '/v1/session', { key: session });

const ask = (method: string, path: string, message: Message = {}): Promise<Sent> =>
  send(test, method, path, { key, ...message });

/** An answer without what differs from request to request. */
const shown = ({ status, body, headers }: Sent): unknown => [
  status,
  { ...body, requestId: null },
  headers['set-cookie'],
  headers['www-authenticate'],
];

const actionsOn = async (personId: string): Promise<string[]> => {
  const { body } = await ask('GET', `/v1/audit-entries?subjectId=${personId}&limit=500`);
  return (body.items as { action: string }[]).map(({ action }) => action);
};

describe('a session', () => {
  it('begins with the invitation, or with address and password, and tells who it is', async () => {
    const { id, email, session } = await signedInPerson(test, key, { name: 'Wren', role: 'technician' });
    const expected = {
      person: {
        id,
        name: 'Wren',
        email,
        role: 'technician',
        fleetIds: null,
        workshopIds: null,
        technicianId: null,
        locale: null,
        distanceUnit: 'km',
        pressureUnit: 'bar',
      },
      preferences: { locale: null, distanceUnit: null, pressureUnit: null },
      organisation: {
        id: organisationId,
        name: 'Tarn Valley Patient Transport',
        distanceUnit: 'km',
        pressureUnit: 'bar',
      },
      scopes: ['read', 'write'],
    };
    const first = await whoAmI(session);
    expect(first.body).toMatchObject(expected);
    expect(first.headers['cache-control']).toBe('no-store');
    const answer = await signIn(`  ${email.toUpperCase()}`.trim());
    expect([answer.status, answer.body]).toMatchObject([201, expected]);
    const second = sessionIn(answer);
    expect(second).not.toBe(session);
    expect((await whoAmI(second)).body).toMatchObject(expected);
    expect((await send(test, 'GET', '/v1/vehicles', { key: second })).status).toBe(200);
    expect((await send(test, 'POST', '/v1/fleets', { key: second, body: { name: 'Mine' } })).status).toBe(
      403,
    );
    expect(await actionsOn(id)).toEqual(
      expect.arrayContaining(['invited', 'invitation-accepted', 'signed-in', 'signed-in']),
    );
  });

  it('is a cookie that scripts and other sites do not get, named for its host where there is TLS', async () => {
    const { email } = await signedInPerson(test, key);
    const plain = (await signIn(email)).headers['set-cookie'] ?? '';
    expect(plain.split('; ').slice(1)).toEqual(['Path=/', 'Max-Age=1209600', 'HttpOnly', 'SameSite=Strict']);
    const tls = await startTestApp({ ...PLENTY, publicUrl: 'https://precharge.example' }, { beside: test });
    try {
      const body = { email, password: PASSWORD };
      const answer = await send(tls, 'POST', '/v1/sessions', { body });
      const cookie = answer.headers['set-cookie'] ?? '';
      expect(cookie).toMatch(/^__Host-precharge_session=ps_/);
      expect(cookie.split('; ').slice(1)).toEqual([
        'Path=/',
        'Max-Age=1209600',
        'HttpOnly',
        'SameSite=Strict',
        'Secure',
      ]);
      const token = sessionIn(answer);
      const by = (name: string): Promise<Sent> =>
        send(tls, 'GET', '/v1/session', { headers: { cookie: `a=b; ${name}=${token}; c=d` } });
      expect([(await by('__Host-precharge_session')).status, (await by(SESSION_COOKIE)).status]).toEqual([
        200, 401,
      ]);
    } finally {
      await tls.close();
    }
  });

  it('has 256 random bits, of which a digest is stored', async () => {
    const { session } = await signedInPerson(test, key);
    const secret = session.slice(-43);
    expect(Buffer.from(secret, 'base64url')).toHaveLength(32);
    const [found] = await sql<{ found: string }>(
      `SELECT count(*) AS found FROM person_sessions WHERE token_sha256 = sha256($1::text::bytea)`,
      [secret],
    );
    expect(Number(found?.found)).toBe(1);
    const [plain] = await sql<{ found: string }>(
      `SELECT count(*) AS found FROM person_sessions s, audit_entries a, events e
        WHERE s::text LIKE $1 OR a::text LIKE $1 OR e::text LIKE $1`,
      [`%${secret}%`],
    );
    expect(Number(plain?.found)).toBe(0);
  });

  it('ends when it is not used for twelve hours, and after fourteen days in any case', async () => {
    const { session, id } = await signedInPerson(test, key);
    const age = (hours: number): Promise<unknown[]> =>
      sql(
        `UPDATE person_sessions SET idle_ends_at = idle_ends_at - $2 * interval '1 hour',
          ends_at = ends_at - $2 * interval '1 hour' WHERE person_id = $1`,
        [id, hours],
      );
    const hoursLeft = async (): Promise<[number, number]> => {
      const { expiresAt, latestExpiresAt } = (await whoAmI(session)).body as Record<string, string>;
      const hours = (at = ''): number => Math.round((Date.parse(at) - Date.now()) / 3_600_000);
      return [hours(expiresAt), hours(latestExpiresAt)];
    };
    expect(await hoursLeft()).toEqual([12, 336]);
    await age(11);
    expect(await hoursLeft()).toEqual([12, 325]);
    for (let passed = 0; passed < 310; passed += 10) {
      await age(10);
      expect((await whoAmI(session)).status).toBe(200);
    }
    expect(await hoursLeft()).toEqual([12, 15]);
    await age(11);
    // the end at the latest comes first
    expect(await hoursLeft()).toEqual([4, 4]);
    await age(5);
    expect((await whoAmI(session)).body.type).toBe('/problems/session-not-valid');
    const other = await signedInPerson(test, key);
    await sql(`UPDATE person_sessions SET idle_ends_at = now() WHERE person_id = $1`, [other.id]);
    expect((await whoAmI(other.session)).body.type).toBe('/problems/session-not-valid');
  });

  it('ends by signing out, which clears the cookie and leaves other browsers alone', async () => {
    const { id, email, session } = await signedInPerson(test, key);
    const other = sessionIn(await signIn(email));
    const out = await send(test, 'DELETE', '/v1/session', { key: session });
    expect([out.status, out.text]).toEqual([204, '']);
    expect(out.headers['set-cookie']).toBe(
      `${SESSION_COOKIE}=; Path=/; Max-Age=0; HttpOnly; SameSite=Strict`,
    );
    expect([(await whoAmI(session)).status, (await whoAmI(other)).status]).toEqual([401, 200]);
    expect((await send(test, 'DELETE', '/v1/session', { key: session })).status).toBe(401);
    expect(await actionsOn(id)).toContain('signed-out');
  });

  it('is one of twenty at the most: the next ends the oldest', async () => {
    const { email, id, session } = await signedInPerson(test, key);
    const sessions = [session];
    jest
      .spyOn(test.app.get(Passwords), 'isPasswordOf')
      .mockImplementation((stored) => Promise.resolve(stored !== null));
    for (let n = 0; n < 20; n++) sessions.push(sessionIn(await signIn(email)));
    const statuses = await Promise.all(sessions.map(async (each) => (await whoAmI(each)).status));
    expect(statuses).toEqual([401, ...Array.from({ length: 20 }, () => 200)]);
    expect(await sql(`SELECT FROM person_sessions WHERE person_id = $1`, [id])).toHaveLength(20);
  });

  it('is told by nothing but the whole token', async () => {
    const { session } = await signedInPerson(test, key);
    const other = await signedInPerson(test, key);
    const mixed = session.slice(0, -43) + other.session.slice(-43);
    for (const token of [mixed, session.slice(0, -1), `${session}A`, session.replace('ps_', 'pk_'), 'ps_']) {
      const headers = { cookie: `${SESSION_COOKIE}=${token}` };
      expect((await send(test, 'GET', '/v1/session', { headers })).status).toBe(401);
      const bearer = { authorization: `Bearer ${token}` };
      expect((await send(test, 'GET', '/v1/session', { headers: bearer })).status).toBe(401);
    }
    const twice = { cookie: `${SESSION_COOKIE}=${session}; ${SESSION_COOKIE}=${other.session}` };
    expect((await send(test, 'GET', '/v1/session', { headers: twice })).status).toBe(401);
    // no bearer either: it would be no cookie that pages alone can send
    const bearer = { authorization: `Bearer ${session}` };
    expect((await send(test, 'GET', '/v1/vehicles', { headers: bearer })).status).toBe(401);
  });

  it('is asked for where a key or token is sent', async () => {
    for (const [method, path] of [
      ['GET', '/v1/session'],
      ['DELETE', '/v1/session'],
    ] as const) {
      const { status, body } = await ask(method, path);
      expect([status, body.type]).toEqual([401, '/problems/authentication-required']);
    }
  });
});

describe('what other sites send', () => {
  let session: string;
  beforeAll(async () => {
    ({ session } = await signedInPerson(test, key, { role: 'administrator' }));
  });

  const post = (headers: Record<string, string>): Promise<Sent> =>
    send(test, 'POST', '/v1/fleets', {
      headers: { cookie: `${SESSION_COOKIE}=${session}`, host: 'precharge.example', ...headers },
      body: { name: `Fleet ${randomUUID()}` },
    });

  it.each<[Record<string, string>, number]>([
    [{ 'sec-fetch-site': 'same-origin' }, 201],
    [{ 'sec-fetch-site': 'same-origin', origin: 'https://elsewhere.example' }, 201],
    [{ 'sec-fetch-site': 'same-site' }, 403],
    [{ 'sec-fetch-site': 'cross-site' }, 403],
    [{ 'sec-fetch-site': 'none' }, 403],
    [{ 'sec-fetch-site': 'cross-site', origin: 'http://precharge.example' }, 403],
    [{ origin: 'http://precharge.example' }, 201],
    [{ origin: 'http://precharge.example:8080' }, 403],
    [{ origin: 'https://elsewhere.example' }, 403],
    [{ origin: 'null' }, 403],
    [{}, 403],
  ])('a change with %p is answered %i', async (headers, status) => {
    const answer = await post(headers);
    expect(answer.status).toBe(status);
    if (status === 403) expect(answer.body.type).toBe('/problems/request-from-elsewhere');
  });

  it('may read, which they are not shown, and is nothing to who sends a key as well', async () => {
    const headers = { cookie: `${SESSION_COOKIE}=${session}`, 'sec-fetch-site': 'cross-site' };
    for (const method of ['GET', 'HEAD'])
      expect((await send(test, method, '/v1/fleets', { headers })).status).toBe(200);
    // which the contract does not list beside GET
    expect(test.contract.takeBreaches()).toEqual(['HEAD /v1/fleets 200: no such operation']);
    const { body, status } = await send(test, 'POST', '/v1/fleets', {
      headers: { ...headers, authorization: `Bearer ${key}` },
      body: { name: 'By key' },
    });
    expect(status).toBe(201);
    const { body: entries } = await ask('GET', `/v1/audit-entries?subjectId=${String(body.id)}`);
    expect((entries.items as { actor: string }[])[0]?.actor).toMatch(/ \(key /);
    const garbage = { ...headers, authorization: 'Bearer pk_garbage' };
    expect((await send(test, 'GET', '/v1/fleets', { headers: garbage })).status).toBe(401);
  });

  it('does not sign anybody in', async () => {
    const { email } = await signedInPerson(test, key);
    const body = { email, password: PASSWORD };
    const from = (site: string): Promise<Sent> =>
      send(test, 'POST', '/v1/sessions', { headers: { 'sec-fetch-site': site }, body });
    expect((await from('cross-site')).body.type).toBe('/problems/request-from-elsewhere');
    expect((await from('same-origin')).status).toBe(201);
    const { invitation } = await invitePerson(test, key, {});
    const accepted = await send(test, 'POST', '/v1/invitation-acceptances', {
      headers: { 'sec-fetch-site': 'cross-site' },
      body: { invitation, password: PASSWORD },
    });
    expect(accepted.status).toBe(403);
  });
});

describe('signing in tells nothing', () => {
  it('of whether the address exists, the password was nearly right or the person is disabled', async () => {
    const active = await signedInPerson(test, key);
    const disabled = await signedInPerson(test, key);
    const invited = await invitePerson(test, key, {});
    await ask('PATCH', `/v1/people/${disabled.id}`, {
      headers: { 'if-match': '"r2"' },
      body: { state: 'disabled' },
    });
    const compared = jest.spyOn(test.app.get(Passwords), 'isPasswordOf');
    const answers: unknown[] = [];
    const counts: number[] = [];
    for (const [email, password] of [
      [active.email, 'four loud geese pass by'],
      [disabled.email, PASSWORD],
      [disabled.email, 'four loud geese pass by'],
      [invited.email, PASSWORD],
      ['nobody@tarn-valley.example', PASSWORD],
    ] as const) {
      compared.mockClear();
      answers.push(shown(await signIn(email, password, '192.0.2.99')));
      counts.push(compared.mock.calls.length);
    }
    expect(new Set(answers.map((each) => JSON.stringify(each))).size).toBe(1);
    expect(answers[0]).toMatchObject([401, { type: '/problems/sign-in-refused' }, undefined, 'Bearer']);
    // as many passwords are compared for nobody as for somebody
    expect(counts).toEqual([3, 3, 3, 3, 3]);
    compared.mockClear();
    await signIn('nobody@tarn-valley.example', PASSWORD, '192.0.2.99', { organisationId });
    await signIn(active.email, 'four loud geese pass by', '192.0.2.99', { organisationId });
    await signIn(active.email, PASSWORD, '192.0.2.99', { organisationId: randomUUID() });
    expect(compared.mock.calls.map(([stored]) => stored === null)).toEqual([true, false, true]);
  });

  it('of other organisations: an address is invited in both alike, and a password opens its own', async () => {
    const theirs = await test.organisation('Another operator');
    const email = 'both@tarn-valley.example';
    const mine = await signedInPerson(test, key, { email });
    const invited = await invitePerson(test, theirs.administratorKey, { email });
    expect(Object.keys(invited).sort()).toEqual(
      Object.keys(await invitePerson(test, theirs.administratorKey, {})).sort(),
    );
    await acceptInvitation(test, invited.invitation, 'four loud geese pass by');
    const first = await signIn(email);
    const second = await signIn(email, 'four loud geese pass by');
    expect(first.body).toMatchObject({ person: { id: mine.id }, organisation: { id: organisationId } });
    expect(second.body).toMatchObject({
      person: { id: invited.id },
      organisation: { id: theirs.organisationId },
    });
  });

  it('but asks which organisation where the password fits several, and nobody else', async () => {
    const theirs = await test.organisation('Third operator');
    const email = 'everywhere@tarn-valley.example';
    await signedInPerson(test, key, { email });
    const there = await signedInPerson(test, theirs.administratorKey, { email });
    const asked = await signIn(email);
    expect([asked.status, asked.body.type]).toEqual([409, '/problems/organisation-to-choose']);
    expect(asked.headers['set-cookie']).toBeUndefined();
    expect(asked.body.organisations).toEqual([
      { id: organisationId, name: 'Tarn Valley Patient Transport' },
      { id: theirs.organisationId, name: 'Third operator' },
    ]);
    const chosen = await signIn(email, PASSWORD, OFFICE, { organisationId: theirs.organisationId });
    expect([chosen.status, chosen.body]).toMatchObject([201, { person: { id: there.id } }]);
    expect((await signIn(email, 'four loud geese pass by')).body.type).toBe('/problems/sign-in-refused');
    // who is disabled in one of them is not asked
    await send(test, 'PATCH', `/v1/people/${there.id}`, {
      key: theirs.administratorKey,
      headers: { 'if-match': '"r2"' },
      body: { state: 'disabled' },
    });
    expect((await signIn(email)).body).toMatchObject({ organisation: { id: organisationId } });
  });
});

describe('what is one’s own', () => {
  it('are language and units: one’s own, or else the organisation’s', async () => {
    const { administratorKey } = await test.organisation('Miles and psi');
    const { session, id } = await signedInPerson(test, administratorKey);
    const units = { distanceUnit: 'mi', pressureUnit: 'psi' };
    await send(test, 'PATCH', '/v1/organisation', {
      key: administratorKey,
      headers: { 'if-match': '"r1"' },
      body: units,
    });
    expect((await whoAmI(session)).body).toMatchObject({ person: units, organisation: units });
    const change = (body: object): Promise<Sent> =>
      send(test, 'PATCH', '/v1/session/preferences', { key: session, body });
    expect((await change({ pressureUnit: 'kPa', locale: 'cy-GB' })).body).toMatchObject({
      person: { distanceUnit: 'mi', pressureUnit: 'kPa', locale: 'cy-GB' },
      preferences: { locale: 'cy-GB', distanceUnit: null, pressureUnit: 'kPa' },
      organisation: units,
    });
    expect((await change({ pressureUnit: null })).body).toMatchObject({ person: { pressureUnit: 'psi' } });
    for (const [field, value] of [
      ['locale', 'not a language'],
      ['locale', 'x'.repeat(36)],
      ['distanceUnit', 'ft'],
      ['pressureUnit', 'Pa'],
      ['role', 'administrator'],
    ] as const) {
      const { status, body } = await change({ [field]: value });
      expect([status, (body.errors as { pointer: string }[])[0]?.pointer]).toEqual([422, `#/${field}`]);
    }
    const person = await send(test, 'GET', `/v1/people/${id}`, { key: administratorKey });
    expect(person.body).toMatchObject({
      locale: 'cy-GB',
      distanceUnit: null,
      pressureUnit: null,
      revision: 4,
    });
  });

  it('is the password: the old one is asked for, and other sessions end', async () => {
    const { id, email, session } = await signedInPerson(test, key);
    const other = sessionIn(await signIn(email));
    const change = (currentPassword: string, newPassword: string): Promise<Sent> =>
      send(test, 'POST', '/v1/session/password', { key: session, body: { currentPassword, newPassword } });
    const wrong = await change('not the one at all', 'four loud geese pass by');
    expect([wrong.status, wrong.body.errors]).toMatchObject([422, [{ pointer: '#/currentPassword' }]]);
    const weak = await change(PASSWORD, 'password123');
    expect([weak.status, weak.body.errors]).toMatchObject([422, [{ pointer: '#/newPassword' }]]);
    expect((await whoAmI(other)).status).toBe(200);
    expect((await change(PASSWORD, 'four loud geese pass by')).status).toBe(200);
    expect([(await whoAmI(session)).status, (await whoAmI(other)).status]).toEqual([200, 401]);
    expect((await signIn(email)).status).toBe(401);
    expect((await signIn(email, 'four loud geese pass by')).status).toBe(201);
    expect(await actionsOn(id)).toContain('password-changed');
  });

  it('cannot be guessed through a session that was left open', async () => {
    const { session } = await signedInPerson(test, key);
    const guess = (n: number): Promise<Sent> =>
      send(test, 'POST', '/v1/session/password', {
        key: session,
        headers: { 'x-forwarded-for': '192.0.2.44' },
        body: { currentPassword: `guess number ${n}`, newPassword: 'four loud geese pass by' },
      });
    const statuses: number[] = [];
    for (let n = 0; n < 7; n++) statuses.push((await guess(n)).status);
    expect(statuses).toEqual([422, 422, 422, 422, 422, 429, 429]);
  });

  it('is an Idempotency-Key, which stays one’s own when one signs in again', async () => {
    const { email, session } = await signedInPerson(test, key, { role: 'administrator' });
    const headers = { 'idempotency-key': 'key-of-a-person' };
    const post = (by: string, name: string): Promise<Sent> =>
      send(test, 'POST', '/v1/fleets', { key: by, headers, body: { name } });
    const first = await post(session, 'Once');
    await send(test, 'DELETE', '/v1/session', { key: session });
    const again = sessionIn(await signIn(email));
    expect((await post(again, 'Once')).body).toEqual(first.body);
    expect((await post(again, 'Another')).body.type).toBe('/problems/idempotency-key-reused');
    const { session: colleague } = await signedInPerson(test, key, { role: 'administrator' });
    expect((await post(colleague, 'Another')).status).toBe(201);
  });
});
