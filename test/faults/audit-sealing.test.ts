import { setTimeout as sleep } from 'node:timers/promises';
import { Client } from 'pg';
import { AuditChecksService, type ChainCheck } from '../../src/modules/audit-seals/audit-checks.service';
import { AuditSealingService } from '../../src/modules/audit-seals/audit-sealing.service';
import { systemPrincipal } from '../../src/platform/security/principal';
import { Operator } from '../support/operator';
import { sealAllEntries, sealEntries } from '../support/seal-audit-trail';
import { soakOr } from '../support/soak';
import { startTestApp, type TestApp } from '../support/test-app';
import { TwoApiProcesses } from '../support/two-api-processes';

let test: TestApp;
let beside: TestApp;
beforeAll(async () => {
  test = await startTestApp({ requestsPerMinute: 10_000_000 });
  beside = await startTestApp({ requestsPerMinute: 10_000_000 }, { beside: test });
});
afterAll(async () => {
  await beside.close();
  await test.close();
});

const seal = (of: TestApp, { organisationId }: Operator): Promise<number> =>
  of.app.get(AuditSealingService).seal(organisationId);

const check = ({ organisationId }: Operator): Promise<ChainCheck> =>
  test.app.get(AuditChecksService).check(systemPrincipal(organisationId, 'check'), {});

interface Order {
  entries: number;
  seals: number;
  inOrder: boolean;
}

/** Whether every entry has one seal, positions without gaps in the order of the change log. */
async function order(operator: Operator): Promise<Order | undefined> {
  const [row] = await operator.sql<Order>(
    `SELECT count(*)::integer AS entries, count(position)::integer AS seals,
        bool_and(position = place) AS "inOrder"
      FROM (
        SELECT s.position, row_number() OVER (ORDER BY e.xid, e.sequence) AS place
          FROM audit_entries e LEFT JOIN audit_seals s ON s.organisation_id = e.organisation_id AND s.entry_id = e.id
          WHERE e.organisation_id = $1
      ) AS placed`,
    [operator.organisationId],
  );
  return row;
}

it('writers and two processes that seal make one chain', async () => {
  const operator = await Operator.of(test, 'Tarn Valley Patient Transport');
  const fleetId = await operator.fleet('Patient transport');
  let writing = true;
  const sealing = [test, beside].map(async (of) => {
    let sealed = 0;
    while (writing) sealed += await seal(of, operator);
    return sealed;
  });
  const writers = Array.from({ length: 8 }, async (_, writer) => {
    for (let n = 0; n < 15; n++) await operator.depot(fleetId, `Depot ${writer}.${n}`);
  });
  await Promise.all(writers);
  writing = false;
  const before = (await Promise.all(sealing)).reduce((sum, each) => sum + each, 0);
  const entries = 121;
  await sealEntries(test, operator.organisationId, entries - before);
  expect(await order(operator)).toEqual({ entries, seals: entries, inOrder: true });
  expect(await check(operator)).toMatchObject({ entriesChecked: entries, complete: true, fault: null });
});

it('a transaction that stays open holds back what came after it, and is not skipped', async () => {
  const operator = await Operator.of(test, 'An operator with a slow writer');
  await operator.fleet('Patient transport');
  const slow = new Client({ connectionString: test.database.appUrl });
  await slow.connect();
  try {
    await slow.query('BEGIN');
    await slow.query('SELECT app.enter($1, NULL)', [operator.organisationId]);
    await slow.query(
      `INSERT INTO audit_entries (organisation_id, actor, action, subject_type, subject_id)
        VALUES ($1, 'slow', 'created', 'fleet', uuidv7())`,
      [operator.organisationId],
    );
    await operator.fleet('School runs');
    await sealEntries(test, operator.organisationId, 1);
    expect(await seal(beside, operator)).toBe(0);
    expect(await check(operator)).toMatchObject({ entriesChecked: 1, fault: null, unsealed: { entries: 1 } });
    await slow.query('COMMIT');
  } finally {
    await slow.end();
  }
  await sealEntries(beside, operator.organisationId, 2);
  expect(await order(operator)).toEqual({ entries: 3, seals: 3, inOrder: true });
  const actors = await operator.sql<{ actor: string }>(
    `SELECT e.actor FROM audit_seals s JOIN audit_entries e ON e.id = s.entry_id WHERE s.organisation_id = $1
      ORDER BY s.position`,
    [operator.organisationId],
  );
  expect(actors.map(({ actor }) => actor.split(' ')[0])).toEqual(['first', 'slow', 'first']);
});

it('a process that is sealing already is not waited for', async () => {
  const operator = await Operator.of(test, 'An operator with a busy chain');
  await operator.fleet('Patient transport');
  const holder = new Client({ connectionString: test.database.appUrl });
  await holder.connect();
  try {
    await holder.query('BEGIN');
    await holder.query(`SELECT pg_advisory_xact_lock(hashtextextended('audit seals of ' || $1, 0))`, [
      operator.organisationId,
    ]);
    expect(await seal(test, operator)).toBe(0);
    await holder.query('ROLLBACK');
  } finally {
    await holder.end();
  }
  await sealEntries(test, operator.organisationId, 1);
});

it('one organisation that cannot be sealed does not keep the others from it', async () => {
  const [bad, good] = [await Operator.of(test, 'Bad'), await Operator.of(test, 'Good')];
  for (const each of [bad, good]) await each.fleet('Patient transport');
  // somebody took the first place already, with an entry that is none of the next ones
  const client = new Client({ connectionString: test.database.ownerUrl });
  await client.connect();
  try {
    await client.query(`SET session_replication_role = replica`);
    await client.query(
      `INSERT INTO audit_seals (organisation_id, position, entry_id, hash)
        SELECT organisation_id, 9223372036854775807, uuidv7(), sha256('x') FROM audit_entries WHERE organisation_id = $1`,
      [bad.organisationId],
    );
  } finally {
    await client.end();
  }
  const goes = { failed: 0 };
  // the first one may find nothing settled yet
  while (goes.failed === 0)
    await test.app
      .get(AuditSealingService)
      .sealAll()
      .catch((error: unknown) => {
        expect(String(error)).toContain('could not be sealed');
        goes.failed += 1;
      });
  await sealAllEntries(test, good.organisationId);
  expect(await order(good)).toEqual({ entries: 1, seals: 1, inOrder: true });
});

const KILLS = soakOr(30, 4);

it(`API processes that seal are killed ${KILLS} times amid writes, and one chain goes on`, async () => {
  const two = await TwoApiProcesses.start('Tarn Valley Patient Transport');
  const run = { killing: true, written: 1 };
  try {
    const { id: fleetId } = await two.made<{ id: string }>('/v1/fleets', { name: 'Patient transport' });
    const writer = async (index: number): Promise<void> => {
      while (run.killing) {
        const body = { fleetId, name: 'A depot', zone: 'Europe/London' };
        // a connection that is cut says nothing of whether the depot is there: what counts is what the trail holds
        const { status } = await two.send(index, 'POST', '/v1/depots', body).catch(() => ({ status: 0 }));
        if (status === 201) run.written += 1;
        // one that is refused is tried again a little later
        else await sleep(20);
      }
    };
    const writers = [0, 1, 0, 1].map(writer);
    for (let kill = 0; kill < KILLS; kill++) {
      const before = run.written;
      while (run.written < before + 20) await sleep(10);
      await two.killAndRestart(kill % 2);
    }
    run.killing = false;
    await Promise.all(writers);
    let head: { position: number; unsealed: { entries: number } };
    do {
      await sleep(100);
      ({ body: head } = await two.send<typeof head>(0, 'GET', '/v1/audit-head'));
    } while (head.unsealed.entries > 0);
    expect(head.position).toBeGreaterThanOrEqual(run.written);
    const checked = { entries: 0, complete: false };
    let after: ChainCheck['checkedUpTo'] | undefined;
    while (!checked.complete) {
      // one answer covers a stretch of a long chain
      const { body } = await two.send<ChainCheck>(1, 'POST', '/v1/audit-checks', { after });
      expect(body).toMatchObject({ fault: null });
      after = { position: body.checkedUpTo.position, hash: body.checkedUpTo.hash };
      checked.entries += body.entriesChecked;
      checked.complete = body.complete;
    }
    expect(checked.entries).toBe(head.position);
  } finally {
    run.killing = false;
    await two.stop();
  }
}, 600_000);
