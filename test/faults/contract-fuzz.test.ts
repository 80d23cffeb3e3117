import { soakOr } from '../support/soak';
import { FuzzCampaign } from '../support/fuzz/fuzz-campaign';
import { PLANTED_FAULTS } from '../support/fuzz/planted-faults';
import { operationsOf, readContract } from '../support/contract-check';
import { organisationDigest } from '../support/organisation-digest';
import { startTestApp, type TestApp } from '../support/test-app';
import { buildWorld, type World } from '../support/world';

jest.setTimeout(soakOr(7_200_000, 600_000));

// so many that a world does not fill up with what was sent before
const A_WORLD = 2_500;
const CAMPAIGNS = soakOr(20, 1);
const SEED = Number(process.env.PROPERTY_SEED ?? '20261125');

let test: TestApp;
let theirs: World;
beforeAll(async () => {
  test = await startTestApp({
    requestsPerMinute: 100_000_000,
    tokensPerMinute: 10_000_000,
    signInsPerMinute: 10_000_000,
  });
  theirs = await buildWorld(test, 'Another operator');
});
afterAll(() => test.close());
afterEach(() => jest.restoreAllMocks());

it(`${CAMPAIGNS * A_WORLD} requests made of the contract: every answer is one that the contract lists`, async () => {
  const statuses: Record<string, number> = {};
  const succeeded = new Set<string>();
  const before = await organisationDigest(test, theirs.organisation.organisationId);
  const findings: string[] = [];
  for (let campaign = 0; campaign < CAMPAIGNS && findings.length < 10; campaign++) {
    const mine = await buildWorld(test, `Tarn Valley Patient Transport ${campaign}`);
    const report = await new FuzzCampaign(test, mine, theirs).run({
      seed: SEED + campaign,
      requests: A_WORLD,
    });
    findings.push(...report.findings);
    for (const [status, count] of Object.entries(report.statuses))
      statuses[status] = (statuses[status] ?? 0) + count;
    for (const id of report.succeeded) succeeded.add(id);
  }
  console.log(JSON.stringify({ statuses, succeeded: succeeded.size }));
  expect(findings.join('\n\n')).toBe('');
  expect(await organisationDigest(test, theirs.organisation.organisationId)).toEqual(before);
  // a fuzz that is refused at the door would find nothing
  expect(succeeded.size).toBeGreaterThan(operationsOf(readContract()).length * 0.8);
});

describe('fleets and depots', () => {
  const about = { seed: SEED, requests: 1_500, at: /^\/v1\/(fleets|depots)/, untilFound: true };
  let campaign: FuzzCampaign;
  beforeEach(async () => {
    campaign = new FuzzCampaign(test, await buildWorld(test, 'An operator of a faulty application'), theirs);
  });

  it('are in order as they are', async () => {
    expect((await campaign.run(about)).findings).toEqual([]);
  });

  it.each(PLANTED_FAULTS)('are not any more with $what', async ({ told, plant }) => {
    plant(test, theirs);
    const { findings } = await campaign.run({ ...about, patienceMs: 5_000 });
    expect(findings).toEqual([expect.stringMatching(told)]);
  });
});
