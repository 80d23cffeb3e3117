import { systemPrincipal } from '../../src/platform/security/principal';
import { Transactions } from '../../src/platform/database/transactions';
import { ownerSql } from '../support/owner-sql';
import { acceptInvitation, invitePerson, PASSWORD, sessionIn, signedInPerson } from '../support/people';
import { send, type Message, type Sent } from '../support/send';
import { startTestApp, type TestApp } from '../support/test-app';
import { buildWorld, type World } from '../support/world';

let test: TestApp;
let world: World;
let key: string;
beforeAll(async () => {
  test = await startTestApp({ requestsPerMinute: 1_000_000, signInsPerMinute: 1_000_000 });
  world = await buildWorld(test, 'Tarn Valley Patient Transport');
  key = world.keys.administrator;
});
afterAll(() => test.close());

const ask = (method: string, path: string, message: Message = {}): Promise<Sent> =>
  send(test, method, path, { key, ...message });

const read = async (id: string): Promise<Sent['body']> => (await ask('GET', `/v1/people/${id}`)).body;

async function change(id: string, body: object, by = key): Promise<Sent> {
  const { headers } = await ask('GET', `/v1/people/${id}`);
  return send(test, 'PATCH', `/v1/people/${id}`, {
    key: by,
    headers: { 'if-match': headers.etag ?? '' },
    body,
  });
}

const inviteAnew = (id: string): Promise<Sent> => ask('POST', `/v1/people/${id}/invitation`);
const whoAmI = async (session: string): Promise<number> =>
  (await send(test, 'GET', '/v1/session', { key: session })).status;
const signIn = (email: string, password = PASSWORD): Promise<Sent> =>
  send(test, 'POST', '/v1/sessions', { body: { email, password } });

interface Entry {
  action: string;
  actor: string;
  before: object | null;
  after: object | null;
}

const entriesOf = async (id: string): Promise<Entry[]> =>
  (await ask('GET', `/v1/audit-entries?subjectId=${id}&limit=500`)).body.items as Entry[];

describe('inviting', () => {
  it('answers the person and an invitation that is good for a week, shown once', async () => {
    const { fleetId, workshopId, technicianId } = world.ids;
    const asked = {
      name: 'Sorrel',
      email: 'Sorrel@Tarn-Valley.example',
      role: 'technician',
      fleetIds: [fleetId],
      workshopIds: [workshopId],
      technicianId,
      locale: 'en-GB',
      distanceUnit: 'mi',
      pressureUnit: null,
    };
    const headers = { 'idempotency-key': 'invite-sorrel' };
    const first = await ask('POST', '/v1/people', { body: asked, headers });
    expect(first.body).toMatchObject({
      ...asked,
      state: 'invited',
      lastSignedInAt: null,
      revision: 1,
      invitation: expect.stringMatching(/^pi_[\w-]{43}_[\w-]{43}$/) as string,
    });
    const { invitedAt, invitationExpiresAt } = first.body as Record<string, string>;
    expect(Date.parse(invitationExpiresAt ?? '') - Date.parse(invitedAt ?? '')).toBe(7 * 86_400_000);
    const again = await ask('POST', '/v1/people', { body: asked, headers });
    expect(again.body).toEqual({ ...first.body, invitation: null });
    const one = await read(String(first.body.id));
    expect({ ...one, invitation: first.body.invitation }).toEqual(first.body);
  });

  it('says which address is taken, in this organisation only, whatever its capitals', async () => {
    const { id, email } = await invitePerson(test, key, {});
    const body = { name: 'Again', email: email.toUpperCase(), role: 'technician' };
    const { status, body: refused } = await ask('POST', '/v1/people', { body });
    expect([status, refused]).toMatchObject([
      409,
      { type: '/problems/already-exists', existingId: id, errors: [{ pointer: '#/email' }] },
    ]);
    const other = await test.organisation('Another operator');
    const there = await send(test, 'POST', '/v1/people', { key: other.administratorKey, body });
    expect(there.status).toBe(201);
  });

  it.each<[object, string]>([
    [{ email: 'no address' }, '#/email'],
    [{ email: 'two words@tarn-valley.example' }, '#/email'],
    [{ role: 'owner' }, '#/role'],
    [{ technicianId: '0199aaaa-0000-7000-8000-000000000000' }, '#/technicianId'],
    [{ fleetIds: ['0199aaaa-0000-7000-8000-000000000000'] }, '#/fleetIds'],
    [{ locale: 'english please' }, '#/locale'],
    [{ state: 'active' }, '#/state'],
    [{ password: 'of their own' }, '#/password'],
  ])('refuses %p by name', async (spoilt, pointer) => {
    const body = { name: 'Teal', email: 'teal@tarn-valley.example', role: 'technician', ...spoilt };
    const answer = await ask('POST', '/v1/people', { body });
    expect([answer.status, answer.body.errors]).toMatchObject([422, [{ pointer }]]);
  });

  it('is for administrators, within their own limits', async () => {
    const wide = await signedInPerson(test, key, { role: 'administrator' });
    const limits = { fleetIds: [world.otherFleet.id] };
    const narrow = await signedInPerson(test, key, { role: 'administrator', ...limits });
    let teals = 0;
    const by = (session: string, body: object): Promise<Sent> =>
      send(test, 'POST', '/v1/people', {
        key: session,
        body: { name: 'Teal', role: 'administrator', email: `teal-${++teals}@tarn-valley.example`, ...body },
      });
    expect((await by(wide.session, {})).status).toBe(201);
    expect((await by(narrow.session, limits)).status).toBe(201);
    const [unlimited, foreign] = [
      await by(narrow.session, {}),
      await by(narrow.session, { fleetIds: [world.ids.fleetId] }),
    ];
    for (const answer of [unlimited, foreign])
      expect([answer.status, answer.body.errors]).toMatchObject([422, [{ pointer: '#/fleetIds' }]]);
    const seen = await send(test, 'GET', '/v1/people?limit=500', { key: narrow.session });
    const people = seen.body.items as { fleetIds: string[] | null }[];
    expect(people.length).toBeGreaterThanOrEqual(2);
    for (const { fleetIds } of people) expect(fleetIds).toEqual(limits.fleetIds);
    const hidden = await send(test, 'POST', `/v1/people/${wide.id}/invitation`, { key: narrow.session });
    expect(hidden.status).toBe(404);
    const taken = await by(narrow.session, { ...limits, email: wide.email });
    expect([taken.status, taken.body.existingId]).toEqual([409, undefined]);
    expect(await whoAmI(wide.session)).toBe(200);
  });
});

describe('accepting an invitation', () => {
  it('makes the person active and signs them in, once', async () => {
    const { id, invitation } = await invitePerson(test, key, { name: 'Wren' });
    const accepted = await acceptInvitation(test, invitation);
    expect([accepted.status, accepted.body]).toMatchObject([201, { person: { id, name: 'Wren' } }]);
    expect(await read(id)).toMatchObject({ state: 'active', invitationExpiresAt: null, revision: 2 });
    expect((await read(id)).lastSignedInAt).not.toBeNull();
    expect((await acceptInvitation(test, invitation)).body.type).toBe('/problems/invitation-not-valid');
    const entries = await entriesOf(id);
    expect(entries.map(({ action }) => action).sort()).toEqual([
      'invitation-accepted',
      'invited',
      'signed-in',
    ]);
    expect(entries.filter(({ actor }) => actor === `Wren (person ${id})`)).toHaveLength(2);
  });

  it('by two at the same moment sets one password', async () => {
    const { invitation, email } = await invitePerson(test, key, {});
    const passwords = [PASSWORD, 'four loud geese pass by'];
    const answers = await Promise.all(passwords.map((each) => acceptInvitation(test, invitation, each)));
    expect(answers.map(({ status }) => status).sort()).toEqual([201, 401]);
    const winner = answers.findIndex(({ status }) => status === 201);
    expect((await signIn(email, passwords[winner])).status).toBe(201);
    expect((await signIn(email, passwords[1 - winner])).status).toBe(401);
  });

  it('takes no invitation that is unknown, altered, replaced or over', async () => {
    const one = await invitePerson(test, key, {});
    const other = await invitePerson(test, key, {});
    const mixed = one.invitation.slice(0, -43) + other.invitation.slice(-43);
    const anew = await inviteAnew(one.id);
    await ownerSql(test, `UPDATE people SET invitation_expires_at = now() WHERE id = $1`, [other.id]);
    for (const invitation of ['pi_garbage', mixed, one.invitation, other.invitation, world.person.session]) {
      const { status, body } = await acceptInvitation(test, invitation);
      expect([status, body.type]).toEqual([401, '/problems/invitation-not-valid']);
    }
    expect((await acceptInvitation(test, String(anew.body.invitation))).status).toBe(201);
  });

  // the words of the person and the organisation: NIST SP 800-63B-4, section 3.1.1.2
  it.each([
    ['short', 422],
    ['123456789', 422],
    ['Password123', 422],
    ['pass word 123', 422],
    ['aaaaaaaaaaaa', 422],
    ['Wren Warbler', 422],
    ['warbler-wren1', 422],
    ['wren.warbler@tarn-valley.example', 422],
    ['Tarn Valley Patient Transport', 422],
    ['x'.repeat(201), 422],
    ['ten letter', 201],
    ['ыъэ ыъэ ыъэ', 201],
    ['the wren of the upper tarn', 201],
    ['correct stapler of horses', 201],
    [`${'long '.repeat(39)}words`, 201],
  ])('with the password %p is answered %i', async (password, status) => {
    const email = `wren.warbler@tarn-valley.example`;
    const { id, invitation } = await invitePerson(test, key, { name: 'Wren Warbler', email });
    const answer = await acceptInvitation(test, invitation, password);
    // the address is free for the next
    await ownerSql(test, `UPDATE people SET address_digest = uuid_send(id) WHERE id = $1`, [id]);
    expect([answer.status, answer.text]).toEqual([status, answer.text]);
    if (status === 422) {
      expect(answer.body.errors).toMatchObject([{ pointer: '#/password' }]);
      expect(await read(id)).toMatchObject({ state: 'invited' });
    }
  });

  it('sets the same password however its letters were put together (RFC 8265)', async () => {
    const { invitation, email } = await invitePerson(test, key, {});
    const composed = 'caf\u00e9 of the quiet herons';
    await acceptInvitation(test, invitation, composed);
    expect((await signIn(email, composed.normalize('NFD'))).status).toBe(201);
    expect((await signIn(email, composed.replace(' ', '\u00a0'))).status).toBe(201);
    expect((await signIn(email, composed.toUpperCase())).status).toBe(401);
  });
});

describe('inviting anew', () => {
  it('is the way to another password: ends the old one and every session', async () => {
    const { id, email, session } = await signedInPerson(test, key);
    const anew = await inviteAnew(id);
    expect(anew.body).toMatchObject({ id, state: 'invited', revision: 3 });
    expect(await whoAmI(session)).toBe(401);
    expect((await signIn(email)).status).toBe(401);
    expect(
      (await acceptInvitation(test, String(anew.body.invitation), 'four loud geese pass by')).status,
    ).toBe(201);
    expect((await signIn(email, 'four loud geese pass by')).status).toBe(201);
    expect((await signIn(email)).status).toBe(401);
  });

  it('shows no invitation that does not exist when it is repeated', async () => {
    const { id } = await invitePerson(test, key, {});
    const headers = { 'idempotency-key': `anew-${id}` };
    const path = `/v1/people/${id}/invitation`;
    const first = await ask('POST', path, { headers });
    expect((await ask('POST', path, { headers })).body).toEqual({ ...first.body, invitation: null });
    expect((await acceptInvitation(test, String(first.body.invitation))).status).toBe(201);
  });
});

describe('changing', () => {
  it('takes effect with the next request: role, limits and name', async () => {
    const { id, session } = await signedInPerson(test, key, { role: 'administrator' });
    const get = (path: string): Promise<Sent> => send(test, 'GET', path, { key: session });
    expect((await get('/v1/people')).status).toBe(200);
    const fleetIds = [world.otherFleet.id];
    expect((await change(id, { role: 'front-desk', fleetIds, name: 'Wren B.' })).status).toBe(200);
    expect((await get('/v1/people')).status).toBe(403);
    const vehicles = (await get('/v1/vehicles')).body.items as { id: string }[];
    expect(vehicles.map((each) => each.id)).toEqual([world.otherFleet.vehicleId]);
    expect((await get('/v1/session')).body).toMatchObject({
      person: { name: 'Wren B.', role: 'front-desk', fleetIds },
      scopes: ['read', 'write'],
    });
    expect((await change(id, { fleetIds: null })).status).toBe(200);
    expect(((await get('/v1/vehicles')).body.items as object[]).length).toBeGreaterThan(1);
  });

  it('counts a revision only where anything changes', async () => {
    const { id } = await invitePerson(test, key, {
      fleetIds: [world.ids.fleetId ?? '', world.otherFleet.id],
    });
    const same = { fleetIds: [world.otherFleet.id, world.ids.fleetId], role: 'front-desk', state: 'active' };
    expect((await change(id, same)).body).toMatchObject({ revision: 1, state: 'invited' });
    expect((await change(id, { technicianId: world.ids.technicianId })).body).toMatchObject({ revision: 2 });
    expect((await change(id, { technicianId: null })).body).toMatchObject({
      revision: 3,
      technicianId: null,
    });
  });

  it('disables at once, and enables again', async () => {
    const { id, email, session } = await signedInPerson(test, key);
    expect((await change(id, { state: 'disabled' })).body).toMatchObject({ state: 'disabled' });
    expect([await whoAmI(session), (await signIn(email)).status]).toEqual([401, 401]);
    const refused = await inviteAnew(id);
    expect([refused.status, refused.body]).toMatchObject([409, { state: 'disabled' }]);
    expect((await change(id, { state: 'active' })).body).toMatchObject({ state: 'active' });
    expect([await whoAmI(session), (await signIn(email)).status]).toEqual([401, 201]);
    expect((await entriesOf(id)).map(({ action }) => action)).toEqual(
      expect.arrayContaining(['disabled', 'enabled']),
    );
  });

  it('ends an invitation by disabling, and enabling does not bring it back', async () => {
    const { id, invitation } = await invitePerson(test, key, {});
    await change(id, { state: 'disabled' });
    expect((await change(id, { state: 'active' })).body).toMatchObject({
      state: 'invited',
      invitationExpiresAt: null,
    });
    expect((await acceptInvitation(test, invitation)).status).toBe(401);
  });

  it('ends work that a disabled person has handed over, and nothing that one who signed out has', async () => {
    const { id, session } = await signedInPerson(test, key, { role: 'administrator' });
    const { organisationId } = world.organisation;
    const enters = (): Promise<boolean> =>
      test.app
        .get(Transactions)
        .run({ ...systemPrincipal(organisationId, 'work handed over'), actorId: id }, () =>
          Promise.resolve(true),
        )
        .catch(() => false);
    await send(test, 'DELETE', '/v1/session', { key: session });
    expect(await enters()).toBe(true);
    await change(id, { state: 'disabled' });
    expect(await enters()).toBe(false);
  });

  it('is not for one’s own access', async () => {
    const { id, session } = await signedInPerson(test, key, { role: 'administrator' });
    for (const body of [{ state: 'disabled' }, { role: 'technician' }, { fleetIds: [world.ids.fleetId] }]) {
      const { status, body: refused } = await change(id, body, session);
      expect([status, refused.type]).toEqual([409, '/problems/state-conflict']);
    }
    expect((await change(id, { name: 'Juniper' }, session)).status).toBe(200);
    expect(await whoAmI(session)).toBe(200);
  });

  it('leaves out disabled people where they are not asked for', async () => {
    const { id } = await invitePerson(test, key, {});
    await change(id, { state: 'disabled' });
    const listed = async (query: string): Promise<boolean> =>
      ((await ask('GET', `/v1/people?limit=500${query}`)).body.items as { id: string }[]).some(
        (each) => each.id === id,
      );
    expect([
      await listed(''),
      await listed('&includeDisabled=true'),
      await listed('&includeDisabled=false'),
    ]).toEqual([true, true, false]);
  });
});

it('what happens to people is told to administrators, and holds no secret', async () => {
  const { id, email, session } = await signedInPerson(test, key);
  const body = { currentPassword: PASSWORD, newPassword: 'four loud geese pass by' };
  await send(test, 'POST', '/v1/session/password', { key: session, body });
  await send(test, 'PATCH', '/v1/session/preferences', { key: session, body: { locale: 'cy' } });
  await ask('POST', `/v1/people/${id}/unlock`);
  await change(id, { name: 'Teal' });
  sessionIn(await signIn(email, 'four loud geese pass by'));
  await inviteAnew(id);
  const entries = await entriesOf(id);
  expect(entries.map(({ action }) => action).sort()).toEqual([
    'changed',
    'invitation-accepted',
    'invited',
    'invited-anew',
    'password-changed',
    'preferences-changed',
    'signed-in',
    'signed-in',
    'unlocked',
  ]);
  const [hash] = await ownerSql<{ found: string[] }>(
    test,
    `SELECT array_remove(array_agg(encode(invitation_sha256, 'hex')) || array_agg(encode(address_digest, 'hex')), NULL)
      AS found FROM people`,
  );
  const text = JSON.stringify(entries);
  for (const secret of [
    ...(hash?.found ?? []),
    'argon2',
    PASSWORD,
    'geese',
    session.slice(-43),
    'pi_',
    'ps_',
  ])
    expect(text).not.toContain(secret);
  const eventsSeenBy = async (by: string): Promise<number> => {
    const changes = await send(test, 'GET', '/v1/changes?limit=500', { key: by });
    let found = 0;
    for (let page = changes; ;) {
      const items = page.body.items as { type: string }[];
      found += items.filter(({ type }) => type.includes('person.')).length;
      if (page.body.hasMore !== true) return found;
      page = await send(test, 'GET', `/v1/changes?limit=500&after=${String(page.body.next)}`, { key: by });
    }
  };
  expect(await eventsSeenBy(key)).toBeGreaterThan(5);
  expect(await eventsSeenBy(world.keys['fleet-planner'])).toBe(0);
});
