import {
  OF_ADDRESS,
  OF_ADDRESS_AND_NETWORK,
  stillCounted,
  TRUSTED_UNTIL_FAILURES,
  waitMs,
  withOneMore,
  type CountedFailures,
} from '../../src/platform/security/sign-in-waits';
import { Passwords } from '../../src/platform/security/passwords';
import { ownerSql } from '../support/owner-sql';
import { PASSWORD, sessionIn, signedInPerson } from '../support/people';
import { send, type Sent } from '../support/send';
import { startTestApp, type TestApp } from '../support/test-app';

// OWASP Authentication Cheat Sheet, "Account Lockout"; NIST SP 800-63B-4, section 3.2.2 (at most 100 failures in a row).

const HOME = '198.51.100.1';
const ELSEWHERE = '203.0.113.1';
const SECOND_MS = 1_000;
const MINUTE_MS = 60 * SECOND_MS;

describe('the wait', () => {
  const after = (failures: number, lastAt = 0): CountedFailures => ({ failures, firstAt: 0, lastAt });

  it.each([
    [0, 0],
    [4, 0],
    [5, 30 * SECOND_MS],
    [6, 60 * SECOND_MS],
    [7, 120 * SECOND_MS],
    [9, 480 * SECOND_MS],
    [10, 900 * SECOND_MS],
    [1_000_000, 900 * SECOND_MS],
  ])('after %i failures is %i ms from the last one', (failures, wait) => {
    expect(waitMs(after(failures), OF_ADDRESS_AND_NETWORK, 0)).toBe(wait);
    expect(waitMs(after(failures), OF_ADDRESS_AND_NETWORK, wait)).toBe(0);
    if (wait > 0) expect(waitMs(after(failures), OF_ADDRESS_AND_NETWORK, wait - 1)).toBe(1);
  });

  it('forgets an address and network a day after the last failure, an address an hour after the first', () => {
    const day = 24 * 60 * MINUTE_MS;
    expect(stillCounted(after(9, 5), OF_ADDRESS_AND_NETWORK, day + 4)).not.toBeNull();
    expect(stillCounted(after(9, 5), OF_ADDRESS_AND_NETWORK, day + 5)).toBeNull();
    expect(stillCounted(after(60, 59 * MINUTE_MS), OF_ADDRESS, 60 * MINUTE_MS)).toBeNull();
    expect(withOneMore(after(60, 59 * MINUTE_MS), OF_ADDRESS, 60 * MINUTE_MS)).toEqual({
      failures: 1,
      firstAt: 60 * MINUTE_MS,
      lastAt: 60 * MINUTE_MS,
    });
    expect(withOneMore(null, OF_ADDRESS, 7)).toEqual({ failures: 1, firstAt: 7, lastAt: 7 });
  });
});

describe('who signs in', () => {
  let test: TestApp;
  let key: string;
  let id: string;
  let email: string;
  beforeAll(async () => {
    test = await startTestApp({
      requestsPerMinute: 1_000_000,
      signInsPerMinute: 1_000_000,
      trustedProxies: ['127.0.0.1'],
    });
    ({ administratorKey: key } = await test.organisation('Tarn Valley Patient Transport'));
    // what takes its time is not what is tested here
    jest
      .spyOn(test.app.get(Passwords), 'isPasswordOf')
      .mockImplementation((stored, password) => Promise.resolve(stored !== null && password === PASSWORD));
  });
  afterAll(() => test.close());
  beforeEach(async () => {
    await ownerSql(test, `DELETE FROM app.sign_in_failures`);
    ({ id, email } = await signedInPerson(test, key));
    await ownerSql(test, `DELETE FROM known_networks WHERE person_id = $1`, [id]);
  });

  const signIn = (password: string, from: string, as = email): Promise<Sent> =>
    send(test, 'POST', '/v1/sessions', {
      headers: { 'x-forwarded-for': from },
      body: { email: as, password },
    });
  const fail = async (times: number, from: string, as = email): Promise<number[]> => {
    const statuses: number[] = [];
    for (let n = 0; n < times; n++) statuses.push((await signIn('not the one', from, as)).status);
    return statuses;
  };
  const laterBy = (seconds: number): Promise<unknown[]> =>
    ownerSql(
      test,
      `UPDATE app.sign_in_failures SET first_at = first_at - $1 * interval '1 second',
        last_at = last_at - $1 * interval '1 second'`,
      [seconds],
    );
  const networkNumber = (n: number): string => `203.0.113.${n}`;
  const entries = async (action: string): Promise<{ actor: string; after: object }[]> => {
    const { body } = await send(test, 'GET', `/v1/audit-entries?subjectId=${id}&limit=500`, { key });
    return (body.items as { action: string; actor: string; after: object }[]).filter(
      (each) => each.action === action,
    );
  };

  it('waits after five failures from a network, with the right password as well; others do not', async () => {
    expect(await fail(6, ELSEWHERE)).toEqual([401, 401, 401, 401, 401, 429]);
    const right = await signIn(PASSWORD, ELSEWHERE);
    expect([right.status, right.body.type]).toEqual([429, '/problems/too-many-requests']);
    expect(Number(right.headers['retry-after'])).toBeGreaterThan(25);
    expect(Number(right.headers['retry-after'])).toBeLessThanOrEqual(30);
    // the next network, and somebody else from this one
    expect((await signIn(PASSWORD, '203.0.113.2')).status).toBe(201);
    const other = await signedInPerson(test, key);
    expect((await signIn(PASSWORD, ELSEWHERE, other.email)).status).toBe(201);
    await laterBy(31);
    expect(await fail(2, ELSEWHERE)).toEqual([401, 429]);
    await laterBy(31);
    expect((await signIn(PASSWORD, ELSEWHERE)).status).toBe(429);
    await laterBy(31);
    expect((await signIn(PASSWORD, ELSEWHERE)).status).toBe(201);
    expect(await entries('sign-in-slowed')).toEqual([
      expect.objectContaining({
        actor: 'system: signing in',
        after: { person: `Wren (person ${id})`, network: ELSEWHERE, failuresFromThere: 5 },
      }),
    ]);
  });

  it('is told the same whether the address exists or not', async () => {
    const shown = ({ status, body, headers }: Sent): unknown => [
      status,
      { ...body, requestId: null },
      headers['set-cookie'],
    ];
    for (let n = 0; n < 8; n++) {
      const [known, unknown] = [
        await signIn('not the one', ELSEWHERE),
        await signIn('not the one', '203.0.113.77', 'nobody@tarn-valley.example'),
      ];
      expect(shown(known)).toEqual(shown(unknown));
    }
  });

  it('counts an IPv6 network as one, and attempts at the same moment each', async () => {
    const statuses = await Promise.all(
      Array.from(
        { length: 20 },
        async (_, n) => (await signIn('not the one', `2001:db8:1:2::${n + 1}`)).status,
      ),
    );
    expect(statuses.filter((status) => status === 401)).toHaveLength(5);
    expect(statuses.filter((status) => status === 429)).toHaveLength(15);
    expect((await signIn(PASSWORD, '2001:db8:1:3::1')).status).toBe(201);
  });

  it('gets in from a network that is known, whatever fails there or elsewhere', async () => {
    expect((await signIn(PASSWORD, HOME)).status).toBe(201);
    expect(await fail(9, HOME)).toEqual([401, 401, 401, 401, 401, 429, 429, 429, 429]);
    for (let n = 1; n <= 20; n++) await fail(3, networkNumber(n));
    expect((await signIn(PASSWORD, HOME)).status).toBe(201);
    // until so much has failed there that somebody in it must be guessing
    await fail(TRUSTED_UNTIL_FAILURES - 9, HOME);
    expect((await signIn(PASSWORD, HOME)).status).toBe(429);
    await laterBy(900);
    expect((await signIn(PASSWORD, HOME)).status).toBe(201);
  });

  it('is known in a network for thirty days', async () => {
    await signIn(PASSWORD, HOME);
    await fail(6, HOME);
    const age = (days: number): Promise<unknown[]> =>
      ownerSql(
        test,
        `UPDATE known_networks SET last_signed_in_at = now() - $2 * interval '1 day' + interval '1 minute'
          WHERE person_id = $1`,
        [id, days],
      );
    await age(31);
    expect((await signIn(PASSWORD, HOME)).status).toBe(429);
    await age(30);
    expect((await signIn(PASSWORD, HOME)).status).toBe(201);
    expect(await ownerSql(test, `SELECT FROM known_networks WHERE person_id = $1`, [id])).toHaveLength(1);
  });

  it('is slow from unknown networks after fifty failures from many, and not from known ones', async () => {
    await signIn(PASSWORD, HOME);
    for (let n = 1; n <= 17; n++) await fail(3, networkNumber(n));
    const fresh = await signIn(PASSWORD, '203.0.113.200');
    expect([fresh.status, Number(fresh.headers['retry-after']) > 0]).toEqual([429, true]);
    expect((await signIn(PASSWORD, HOME)).status).toBe(201);
    expect(await entries('sign-in-slowed')).toHaveLength(1);
    await laterBy(61);
    expect((await signIn(PASSWORD, '203.0.113.200')).status).toBe(201);
  });

  it('is slow for addresses that nobody knows there, after a hundred failures from one network', async () => {
    await signIn(PASSWORD, HOME);
    for (let n = 0; n < 100; n++)
      expect(await fail(1, HOME, `guess-${n}@tarn-valley.example`)).toEqual([401]);
    const { email: colleague } = await signedInPerson(test, key);
    expect((await signIn(PASSWORD, HOME, colleague)).status).toBe(429);
    expect((await signIn(PASSWORD, HOME)).status).toBe(201);
  });

  it('does not get more guesses by signing in between them', async () => {
    const theirs = await test.organisation('Of whoever guesses');
    await signedInPerson(test, theirs.administratorKey, { email });
    jest
      .spyOn(test.app.get(Passwords), 'isPasswordOf')
      .mockImplementation((stored, password) => Promise.resolve(stored !== null && password === 'theirs'));
    const mayGuess: boolean[] = [];
    for (let n = 0; n < 8; n++) {
      mayGuess.push((await fail(1, ELSEWHERE))[0] === 401);
      await send(test, 'POST', '/v1/sessions', {
        headers: { 'x-forwarded-for': ELSEWHERE },
        body: { email, password: 'theirs', organisationId: theirs.organisationId },
      });
    }
    jest
      .spyOn(test.app.get(Passwords), 'isPasswordOf')
      .mockImplementation((stored, password) => Promise.resolve(stored !== null && password === PASSWORD));
    expect(mayGuess.filter(Boolean)).toHaveLength(5);
  });

  it('is unlocked by an administrator, for a quarter of an hour or until they are in', async () => {
    await fail(6, ELSEWHERE);
    expect((await signIn(PASSWORD, ELSEWHERE)).status).toBe(429);
    const unlock = (): Promise<Sent> => send(test, 'POST', `/v1/people/${id}/unlock`, { key });
    expect((await unlock()).body).toMatchObject({ id, state: 'active' });
    const wrong = await signIn('not the one', ELSEWHERE);
    expect(wrong.status).toBe(429);
    const answer = await signIn(PASSWORD, ELSEWHERE);
    expect([answer.status, sessionIn(answer).slice(0, 3)]).toEqual([201, 'ps_']);
    await ownerSql(test, `DELETE FROM known_networks WHERE person_id = $1`, [id]);
    expect((await signIn(PASSWORD, ELSEWHERE)).status).toBe(429);
    await unlock();
    await ownerSql(
      test,
      `UPDATE people SET unlocked_until = unlocked_until - interval '15 minutes' WHERE id = $1`,
      [id],
    );
    expect((await signIn(PASSWORD, ELSEWHERE)).status).toBe(429);
    expect(await entries('unlocked')).toHaveLength(2);
  });

  it('leaves nothing in the counters that could be read', async () => {
    await fail(1, ELSEWHERE, 'my-secret-password-in-the-wrong-field@x');
    const rows = await ownerSql<{ text: string }>(test, `SELECT f::text AS text FROM app.sign_in_failures f`);
    expect(rows).toHaveLength(3);
    for (const { text } of rows) expect(text).not.toMatch(/secret|203|6d792d/);
  });
});
