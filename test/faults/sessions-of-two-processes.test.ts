import { PASSWORD } from '../support/people';
import { TwoApiProcesses } from '../support/two-api-processes';

// Two processes on one database: whoever signs in at one is known at the other, and what ends there has ended here with
// the next request.

let two: TwoApiProcesses;
beforeAll(async () => {
  two = await TwoApiProcesses.start('Tarn Valley Patient Transport', {
    TRUSTED_PROXIES: '127.0.0.1',
    SIGN_INS_PER_MINUTE: '100000',
  });
}, 180_000);
afterAll(() => two.stop());

const HOME = '198.51.100.1';
const NEW_PASSWORD = 'four loud geese pass by';

function call(
  index: number,
  method: string,
  path: string,
  {
    cookie,
    body,
    from = HOME,
    more = {},
  }: { cookie?: string; body?: object; from?: string; more?: object } = {},
): Promise<Response> {
  return fetch(`${two.apis[index % 2]!.address}${path}`, {
    method,
    headers: {
      'x-forwarded-for': from,
      'sec-fetch-site': 'same-origin',
      ...(cookie === undefined ? {} : { cookie }),
      ...(body === undefined ? {} : { 'content-type': 'application/json' }),
      ...more,
    },
    ...(body === undefined ? {} : { body: JSON.stringify(body) }),
  });
}

/** What a browser would send back. */
function cookieOf(response: Response): string {
  const [cookie = ''] = response.headers.getSetCookie().map((each) => each.split(';')[0] ?? '');
  if (!/^__Host-precharge_session=ps_/.test(cookie)) throw new Error(`no session: ${response.status}`);
  return cookie;
}

const whoAmI = async (cookie: string): Promise<number[]> =>
  Promise.all([0, 1].map(async (index) => (await call(index, 'GET', '/v1/session', { cookie })).status));

interface Person {
  id: string;
  email: string;
  invitation: string;
}

let invited = 0;
async function person(): Promise<Person & { cookie: string }> {
  const email = `person-${++invited}@tarn-valley.example`;
  const made = await two.made<Person>('/v1/people', { name: 'Wren', role: 'administrator', email });
  const body = { invitation: made.invitation, password: PASSWORD };
  return { ...made, cookie: cookieOf(await call(0, 'POST', '/v1/invitation-acceptances', { body })) };
}

const signIn = (index: number, email: string, password: string, from = HOME): Promise<Response> =>
  call(index, 'POST', '/v1/sessions', { body: { email, password }, from });

describe('a session', () => {
  it('of either process is one of both', async () => {
    const { email, cookie } = await person();
    expect(await whoAmI(cookie)).toEqual([200, 200]);
    expect(await whoAmI(cookieOf(await signIn(1, email, PASSWORD)))).toEqual([200, 200]);
  });

  it('ends at both by signing out at one', async () => {
    const { cookie } = await person();
    expect(await whoAmI(cookie)).toEqual([200, 200]);
    expect((await call(0, 'DELETE', '/v1/session', { cookie })).status).toBe(204);
    expect(await whoAmI(cookie)).toEqual([401, 401]);
  });

  it('ends at both when the person is disabled, invited anew or changes the password at one', async () => {
    const by = { authorization: `Bearer ${two.organisation.administratorKey}` };
    const disabled = await person();
    expect(await whoAmI(disabled.cookie)).toEqual([200, 200]);
    const change = await call(1, 'PATCH', `/v1/people/${disabled.id}`, {
      body: { state: 'disabled' },
      more: { ...by, 'if-match': '"r2"' },
    });
    expect(change.status).toBe(200);
    expect(await whoAmI(disabled.cookie)).toEqual([401, 401]);

    const anew = await person();
    expect(await whoAmI(anew.cookie)).toEqual([200, 200]);
    await call(1, 'POST', `/v1/people/${anew.id}/invitation`, { more: by });
    expect(await whoAmI(anew.cookie)).toEqual([401, 401]);

    const changed = await person();
    const other = cookieOf(await signIn(1, changed.email, PASSWORD));
    expect([await whoAmI(changed.cookie), await whoAmI(other)]).toEqual([
      [200, 200],
      [200, 200],
    ]);
    const body = { currentPassword: PASSWORD, newPassword: NEW_PASSWORD };
    expect((await call(0, 'POST', '/v1/session/password', { cookie: other, body })).status).toBe(200);
    expect([await whoAmI(changed.cookie), await whoAmI(other)]).toEqual([
      [401, 401],
      [200, 200],
    ]);
  });

  it('has the role that the person has now, at both', async () => {
    const { id, cookie } = await person();
    const people = (): Promise<number[]> =>
      Promise.all([0, 1].map(async (index) => (await call(index, 'GET', '/v1/people', { cookie })).status));
    expect(await people()).toEqual([200, 200]);
    const change = await call(1, 'PATCH', `/v1/people/${id}`, {
      body: { role: 'technician' },
      more: { authorization: `Bearer ${two.organisation.administratorKey}`, 'if-match': '"r2"' },
    });
    expect(change.status).toBe(200);
    expect(await people()).toEqual([403, 403]);
  });
});

it('failures count at both as one', async () => {
  const { email } = await person();
  const from = '203.0.113.9';
  const answers = await Promise.all(
    Array.from({ length: 14 }, async (_, n) => (await signIn(n, email, 'not the one', from)).status),
  );
  expect([401, 429].map((status) => answers.filter((each) => each === status).length)).toEqual([5, 9]);
  expect([
    (await signIn(0, email, PASSWORD, from)).status,
    (await signIn(1, email, PASSWORD, from)).status,
  ]).toEqual([429, 429]);
  expect((await signIn(1, email, PASSWORD)).status).toBe(201);
});

describe('npm run person', () => {
  const invite = async (organisation: string, email: string): Promise<string> => {
    const printed = await two.run(
      'person.js',
      ...['--organisation', organisation, '--role', 'administrator', '--email', email, '--name', 'Juniper'],
    );
    const [invitation = ''] = /pi_[\w-]+/.exec(printed) ?? [];
    expect(printed).toContain(`https://precharge.example/desk/invitation#${invitation}`);
    return invitation;
  };
  const accept = (invitation: string, password: string): Promise<Response> =>
    call(0, 'POST', '/v1/invitation-acceptances', { body: { invitation, password } });

  it('invites the first administrator, by the name or the id of the organisation', async () => {
    const { organisationId } = two.organisation;
    for (const [index, organisation] of ['Tarn Valley Patient Transport', organisationId].entries()) {
      const accepted = await accept(
        await invite(organisation, `first-${index}@tarn-valley.example`),
        PASSWORD,
      );
      expect(await accepted.json()).toMatchObject({
        person: { name: 'Juniper', role: 'administrator' },
        organisation: { id: organisationId },
      });
    }
  });

  it('lets somebody in again who is disabled and has lost the password', async () => {
    const { id, email } = await person();
    await two.sql(`UPDATE people SET state = 'disabled', role = 'technician' WHERE id = $1`, [id]);
    const accepted = await accept(
      await invite(two.organisation.organisationId, email.toUpperCase()),
      NEW_PASSWORD,
    );
    expect(await accepted.json()).toMatchObject({ person: { id, email, role: 'administrator' } });
    expect([
      (await signIn(0, email, PASSWORD)).status,
      (await signIn(1, email, NEW_PASSWORD)).status,
    ]).toEqual([401, 201]);
  });

  it('says what is missing or unknown', async () => {
    await expect(two.run('person.js', '--role', 'owner')).rejects.toThrow(
      /--organisation: its name or id; --role: one of .*; --email: a mail address; --name/,
    );
    await expect(invite('Nobody', 'first@tarn-valley.example')).rejects.toThrow(
      'There is no organisation "Nobody".',
    );
  });
});
