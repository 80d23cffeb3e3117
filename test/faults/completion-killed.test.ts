import { setTimeout as sleep } from 'node:timers/promises';
import { SeededRandom } from '../../src/core/shared/seeded-random';
import { publishProgramme } from '../support/publish-programme';
import { soakOr } from '../support/soak';
import { TwoApiProcesses } from '../support/two-api-processes';
import { makeWorkshop, type WorkshopWorld } from '../support/workshop-world';

jest.setTimeout(soakOr(1_800_000, 300_000));

const KILLS = soakOr(50, 8);

let two: TwoApiProcesses;
let world: WorkshopWorld;

beforeAll(async () => {
  two = await TwoApiProcesses.start('Tarn Valley');
  world = await makeWorkshop(two, { bays: 1, technicians: 1, vehicles: KILLS });
  await publishProgramme(two, [
    { code: 'fluid-change', task: 'fluid-change', everyMonths: 24, competences: ['hydraulics'] },
  ]);
  await makeDue();
});
afterAll(() => two.stop());

async function makeDue(): Promise<void> {
  // due long ago, whatever day it is
  await two.sql(`UPDATE vehicles SET in_service_on = '2020-01-01'`);
  for (const vehicleId of world.vehicleIds)
    await two.made(`/v1/vehicles/${vehicleId}/task-completions`, {
      task: 'fluid-change',
      doneOn: '2021-01-01',
    });
}

interface Job {
  vehicleId: string;
  bookingId: string;
  sheetId: string;
  body: object;
}

async function jobInWork(vehicleId: string, round: number): Promise<Job> {
  const startsAt = new Date((Math.floor(Date.now() / 3_600_000) + 2 * round + 1) * 3_600_000).toISOString();
  const booking = await two.made<{ id: string }>('/v1/bookings', {
    vehicleId,
    workshopId: world.workshopId,
    startsAt,
    dueItemKeys: ['fluid-change'],
  });
  const past = (minutes: number) => ({ at: new Date(Date.now() - minutes * 60_000).toISOString() });
  for (const [step, minutes, revision] of [
    ['arrival', 30, 1],
    ['work-start', 20, 2],
  ] as const) {
    const path = `/v1/bookings/${booking.id}/${step}`;
    const { status } = await two.send(0, 'POST', path, past(minutes), { 'if-match': `"r${revision}"` });
    expect(status).toBe(200);
  }
  const sheet = await two.made<{ id: string; steps: { key: string; kind: string; required: boolean }[] }>(
    `/v1/bookings/${booking.id}/job-sheet`,
    {},
  );
  const entries = sheet.steps
    .filter(({ required }) => required)
    .map(({ key, kind }) => {
      if (kind === 'odometer-reading') return { key, odometer: 40_000 };
      return kind === 'task' ? { key, outcome: 'done' } : { key, notDone: 'no ramp free' };
    });
  const body = {
    entries,
    signedOffBy: world.technicianIds[0],
    finishedAt: new Date(Date.now() - 60_000).toISOString(),
  };
  return { vehicleId, bookingId: booking.id, sheetId: sheet.id, body };
}

/** Everything that a completion writes, as the database has it. */
async function stored({ vehicleId, bookingId, sheetId }: Job) {
  const [row] = await two.sql<Record<string, unknown>>(
    `SELECT (SELECT state FROM job_sheets WHERE id = $1) AS sheet, (SELECT state FROM bookings WHERE id = $2) AS booking,
        (SELECT count(*)::int FROM odometer_readings WHERE vehicle_id = $3) AS readings,
        (SELECT count(*)::int FROM task_completions WHERE vehicle_id = $3 AND done_on > '2022-01-01') AS completions,
        (SELECT count(*)::int FROM holds WHERE vehicle_id = $3) AS holds,
        (SELECT due_on > now() FROM due_items WHERE vehicle_id = $3 AND item_key = 'fluid-change') AS moved`,
    [sheetId, bookingId, vehicleId],
  );
  return row;
}

// a check before release was not made, so each job ends with a hold as well
const WHOLLY = {
  sheet: 'completed',
  booking: 'finished',
  readings: 1,
  completions: 1,
  holds: 1,
  moved: true,
};
const NOT_AT_ALL = { sheet: 'open', booking: 'in-work', readings: 0, completions: 0, holds: 0, moved: false };

it(`${KILLS} times a process is killed in the middle of completing a job: it is done or not, and settled by asking again`, async () => {
  const random = new SeededRandom(9);
  const outcomes = { wholly: 0, notAtAll: 0 };
  for (const [round, vehicleId] of world.vehicleIds.entries()) {
    const job = await jobInWork(vehicleId, round);
    const complete = (index: number) =>
      two.send<{ decision?: string }>(index, 'POST', `/v1/job-sheets/${job.sheetId}/completion`, job.body, {
        'if-match': '"r1"',
      });
    const broken = complete(1).catch(() => null);
    // the first request of a fresh process takes about 200 ms
    await sleep(random.integer(0, 300));
    await two.killAndRestart(1);
    await broken;
    const left = await stored(job);
    expect([WHOLLY, NOT_AT_ALL]).toContainEqual(left);
    outcomes[left?.sheet === 'completed' ? 'wholly' : 'notAtAll'] += 1;

    const settled = await complete(round % 2);
    expect([settled.status, settled.body.decision]).toEqual([200, 'held']);
    expect(await stored(job)).toEqual(WHOLLY);
    const again = await complete((round + 1) % 2);
    expect([again.status, again.body]).toEqual([200, settled.body]);
    expect(await stored(job)).toEqual(WHOLLY);
  }
  console.log(`killed ${KILLS} times: ${outcomes.wholly} were done, ${outcomes.notAtAll} were not`);
});
