import type { AddressInfo } from 'node:net';
import type { ImportDto } from '../../src/modules/imports/dto/import.dto';
import type { ImportKindName } from '../../src/modules/imports/import-kind';
import { startWork } from '../../src/work';
import { addKey } from '../support/api-client';
import { ImportClient, type ImportOptions } from '../support/import-client';
import { Operator } from '../support/operator';
import { organisationDigest, recordsDigest } from '../support/organisation-digest';
import { startTestApp, type TestApp } from '../support/test-app';

jest.setTimeout(300_000);

let test: TestApp;
let owner: Operator;
let files: ImportClient;
beforeAll(async () => {
  test = await startTestApp({ requestsPerMinute: 1_000_000 });
  await test.app.listen(0, '127.0.0.1');
  const address = `http://127.0.0.1:${(test.app.getHttpServer().address() as AddressInfo).port}`;
  await startWork(test.app);
  owner = await Operator.of(test, 'Tarn Valley Patient Transport');
  files = new ImportClient(address, owner.organisation.administratorKey);
});
afterAll(() => test.close());

const lines = (records: readonly object[]): string => records.map((one) => JSON.stringify(one)).join('\n');

/** Outcome and pointers of each line. */
async function reportOf(kind: ImportKindName, records: readonly object[] | string): Promise<string[]> {
  const options: ImportOptions = typeof records === 'string' ? {} : { format: 'ndjson' };
  const done = await files.run(kind, typeof records === 'string' ? records : lines(records), options);
  expect([done.state, done.failure]).toEqual(['finished', null]);
  return (await files.lines(done.id)).map(({ outcome, errors }) =>
    [outcome, ...new Set(errors.map(({ pointer }) => pointer ?? '-'))].join(' '),
  );
}

const FLEETS = [
  { externalKey: 'F1', name: 'Patient transport' },
  { externalKey: 'F2', name: 'Pool cars' },
];
const DEPOTS = [
  { externalKey: 'D1', fleetKey: 'F1', name: 'Upper Tarn', zone: 'Europe/London' },
  { externalKey: 'D2', fleetKey: 'F2', name: 'Lower Tarn', zone: 'Europe/London' },
];
const OPEN = [1, 2, 3, 4, 5, 6, 7].map((weekday) => ({
  weekday,
  windows: [{ from: '00:00', until: '24:00' }],
}));
const WORKSHOPS = [
  { externalKey: 'W1', name: 'Upper Tarn workshop', zone: 'Europe/London', weeklyHours: OPEN },
  {
    externalKey: 'W2',
    name: 'Lower Tarn workshop',
    zone: 'Europe/London',
    weeklyHours: OPEN.slice(0, 5),
    holidayRegion: 'GB-ENG',
    dayExceptions: [{ fromOn: '2027-08-02', untilOn: '2027-08-09', windows: [], note: 'stocktaking' }],
    vehicleStay: 'overnight',
    minutesBefore: 15,
    minutesAfter: 10,
    gridMinutes: 30,
    signOffCompetence: null,
  },
];
const VEHICLES = ['V1', 'V2', 'V3'].map((externalKey) => ({
  externalKey,
  depotKey: 'D1',
  registrationMark: `TVP ${externalKey}`,
  dutyClass: 'normal',
  odometerUnit: 'km',
}));

it('fleets, depots and workshops are made out of files, and vehicles into them', async () => {
  expect(await reportOf('fleets', [...FLEETS, { externalKey: 'F3' }])).toEqual([
    'created',
    'created',
    'rejected #/name',
  ]);
  expect(
    await reportOf('depots', [
      ...DEPOTS,
      { ...DEPOTS[0], externalKey: 'D3', fleetKey: 'F9' },
      { ...DEPOTS[0], externalKey: 'D3', zone: 'Europe/Atlantis' },
      { ...DEPOTS[0], fleetKey: 'F2' },
    ]),
  ).toEqual(['created', 'created', 'rejected #/fleetKey', 'rejected #/zone', 'rejected #/fleetKey']);
  expect(
    await reportOf('workshops', [
      ...WORKSHOPS,
      { ...WORKSHOPS[0], externalKey: 'W3', weeklyHours: undefined },
      { ...WORKSHOPS[0], externalKey: 'W3', holidayRegion: 'Atlantis' },
      { ...WORKSHOPS[0], externalKey: 'W3', weeklyHours: [{ weekday: 8, windows: [] }] },
    ]),
  ).toEqual([
    'created',
    'created',
    'rejected #/weeklyHours',
    'rejected #/holidayRegion',
    expect.stringMatching(/^rejected #\/weeklyHours\/0\/weekday/),
  ]);
  expect(await reportOf('vehicles', VEHICLES)).toEqual(Array(3).fill('created'));
});

it('what is said again changes nothing, not even a revision; what is new is changed, and nothing beside it', async () => {
  const before = await organisationDigest(test, owner.organisationId);
  expect(await reportOf('fleets', FLEETS)).toEqual(['unchanged', 'unchanged']);
  expect(await reportOf('depots', DEPOTS)).toEqual(['unchanged', 'unchanged']);
  expect(await reportOf('workshops', WORKSHOPS)).toEqual(['unchanged', 'unchanged']);
  const after = await organisationDigest(test, owner.organisationId);
  for (const table of ['fleets', 'depots', 'workshops', 'due_items'])
    expect([table, after[table]]).toEqual([table, before[table]]);

  expect(await reportOf('fleets', 'externalKey,name\nF2,Pool vehicles\nF2,Pool vehicles\n')).toEqual([
    'updated',
    'unchanged',
  ]);
  expect(
    await reportOf('depots', 'externalKey,fleetKey,name,zone\nD2,F2,Lower Tarn,Europe/Dublin\n'),
  ).toEqual(['updated']);
  // CSV has no column for hours: those on file stay as they are
  expect(
    await reportOf(
      'workshops',
      'externalKey,name,zone,minutesBefore,vehicleStay\nW2,Lower Tarn,Europe/London,20,\n',
    ),
  ).toEqual(['updated']);
  const [workshop] = (await owner.admin.ok<{ items: unknown[] }>('get', '/v1/workshops?externalKey=W2'))
    .items;
  expect(workshop).toMatchObject({
    name: 'Lower Tarn',
    minutesBefore: 20,
    minutesAfter: 10,
    vehicleStay: 'overnight',
    revision: 2,
    weeklyHours: WORKSHOPS[1]!.weeklyHours,
  });
});

it('a depot in another zone moves the dates of its vehicles, in the same transaction', async () => {
  await owner.follows([{ code: 'fluid-change', task: 'fluid-change', everyMonths: 24 }]);
  expect(await reportOf('depots', [{ ...DEPOTS[0], zone: 'Europe/Lisbon' }])).toEqual(['updated']);
  const items = await owner.sql(`SELECT FROM due_items WHERE organisation_id = $1`, [owner.organisationId]);
  expect(items.length).toBe(VEHICLES.length);
  expect(await reportOf('depots', [DEPOTS[0]!])).toEqual(['updated']);
});

it('rosters are set, blackout periods and system tests recorded, each again without effect', async () => {
  const week = { monday: 4, tuesday: 4, wednesday: 4, thursday: 4, friday: 4, saturday: 1, sunday: 0 };
  const rosters = [
    { depotKey: 'D1', neededByWeekday: week },
    {
      depotKey: 'D2',
      neededByWeekday: week,
      exceptions: [{ fromOn: '2027-08-02', untilOn: '2027-08-30', needed: 2, reason: 'school holidays' }],
    },
  ];
  expect(
    await reportOf('rosters', [
      ...rosters,
      { depotKey: 'D9', neededByWeekday: week },
      { depotKey: 'D1', neededByWeekday: { ...week, monday: -1 } },
      {
        depotKey: 'D1',
        neededByWeekday: week,
        exceptions: [{ fromOn: '2027-08-02', untilOn: '2027-08-02', needed: 2, reason: 'x' }],
      },
    ]),
  ).toEqual([
    'created',
    'created',
    'rejected #/depotKey',
    'rejected #/neededByWeekday/monday',
    'rejected #/exceptions/0/untilOn',
  ]);
  const blackouts = [
    {
      vehicleKey: 'V1',
      fromOn: '2027-12-24',
      untilOn: '2028-01-02',
      reason: 'the only stretcher lift',
      externalKey: 'B1',
    },
    { vehicleKey: 'V2', fromOn: '2027-12-24', untilOn: '2028-01-02', reason: 'the only stretcher lift' },
  ];
  expect(
    await reportOf('blackout-periods', [
      ...blackouts,
      { ...blackouts[0], vehicleKey: 'V2' },
      { ...blackouts[0], externalKey: 'B2' },
      { ...blackouts[1], untilOn: '2027-12-24' },
      { ...blackouts[1], untilOn: '2030-01-01' },
    ]),
  ).toEqual([
    'created',
    'created',
    'rejected #/externalKey',
    'rejected #/fromOn',
    'rejected #/untilOn',
    'rejected #/untilOn',
  ]);
  const tests = [
    {
      vehicleKey: 'V1',
      task: 'low-pressure-warning-test',
      doneAt: '2026-03-02T10:00:00Z',
      warningBarGauge: 80,
      doneBy: 'T07',
      externalKey: 'S1',
    },
    {
      vehicleKey: 'V2',
      task: 'low-pressure-warning-test',
      doneAt: '2026-03-02T10:00:00Z',
      cameOn: false,
      doneBy: 'T07',
      note: 'lamp dark',
    },
  ];
  expect(
    await reportOf('system-tests', [
      ...tests,
      { ...tests[0], externalKey: 'S2', gaugeCode: 'no such gauge' },
    ]),
  ).toEqual(['created', 'created', 'rejected #/gaugeCode']);
  const csv =
    'vehicleKey,task,doneAt,doneBy,note,warningBarGauge,cameOn,externalKey\r\n' +
    'V1,low-pressure-warning-test,2026-03-02T10:00:00Z,T07,,80,,S1\r\n' +
    'V2,low-pressure-warning-test,2026-03-02T10:00:00Z,T07,lamp dark,,false,\r\n';
  const before = await recordsDigest(test, owner.organisationId);
  expect(await reportOf('rosters', rosters)).toEqual(['unchanged', 'unchanged']);
  expect(await reportOf('blackout-periods', blackouts)).toEqual(['unchanged', 'unchanged']);
  expect(await reportOf('system-tests', tests)).toEqual(['unchanged', 'unchanged']);
  expect(await reportOf('system-tests', csv)).toEqual(['unchanged', 'unchanged']);
  expect(await recordsDigest(test, owner.organisationId)).toEqual(before);

  expect(await reportOf('rosters', [{ ...rosters[0], neededByWeekday: { ...week, sunday: 1 } }])).toEqual([
    'updated',
  ]);
  expect(await reportOf('blackout-periods', [{ ...blackouts[0], fromOn: '2027-12-20' }])).toEqual([
    'updated',
  ]);
  const [period] = await owner.sql<{ from_on: string; revision: number }>(
    `SELECT from_on::text, revision FROM blackout_periods WHERE external_key = 'B1'`,
  );
  expect(period).toEqual({ from_on: '2027-12-20', revision: 2 });
});

it('a file that CSV cannot express is refused as a whole, with the way out', async () => {
  const done = await files.run('rosters', 'depotKey\nD1\n');
  expect(done).toMatchObject({ state: 'failed' });
  expect(done.failure).toMatch(/no column for neededByWeekday.*application\/x-ndjson/);
});

describe('bookings', () => {
  const HOUR = 3_600_000;
  // far enough ahead that a slow run is not overtaken
  const at = (hours: number): string =>
    new Date((Math.floor(Date.now() / HOUR) + 48 + hours) * HOUR).toISOString();
  const booking = (externalKey: string, vehicleKey: string, hours: number, more: object = {}): object => ({
    externalKey,
    vehicleKey,
    workshopKey: 'W1',
    startsAt: at(hours),
    dueItemKeys: [],
    extraWork: [{ title: 'Look it over', minutes: 60 }],
    ...more,
  });

  it('are taken over by the guarded way: a time that is taken is refused, and costs no other line', async () => {
    const { items } = await owner.admin.ok<{ items: { id: string }[] }>(
      'get',
      '/v1/workshops?externalKey=W1',
    );
    const path = `/v1/workshops/${items[0]!.id}`;
    await owner.admin.ok('post', `${path}/bays`, { body: { name: 'Bay 1', kinds: ['flat'] } });
    await owner.admin.ok('post', `${path}/technicians`, {
      body: { name: 'T07', competences: [], shifts: OPEN },
    });
    const file = [
      booking('K1', 'V1', 0),
      booking('K2', 'V2', 0),
      booking('K3', 'V3', 2),
      booking('K4', 'V9', 4),
      booking('K5', 'V2', 4, { workshopKey: 'W9' }),
      booking('K6', 'V2', 6, { startsAt: '2020-01-01T10:00:00Z' }),
      booking('K1', 'V1', 0),
    ];
    const first = await reportOf('bookings', file);
    expect(first.map((one) => one.split(' ')[0])).toEqual([
      'created',
      'rejected',
      'created',
      'rejected',
      'rejected',
      'rejected',
      'unchanged',
    ]);
    expect(first.slice(3, 6)).toEqual([
      'rejected #/vehicleKey',
      'rejected #/workshopKey',
      'rejected #/startsAt',
    ]);
    const before = await recordsDigest(test, owner.organisationId);
    const again = await reportOf('bookings', file);
    expect(again.map((one) => one.split(' ')[0])).toEqual([
      'unchanged',
      'rejected',
      'unchanged',
      'rejected',
      'rejected',
      'rejected',
      'unchanged',
    ]);
    // a file moves nothing that somebody may rely on
    expect(await reportOf('bookings', [booking('K1', 'V1', 8), booking('K3', 'V1', 2)])).toEqual([
      'rejected #/externalKey',
      'rejected #/externalKey',
    ]);
    expect(await recordsDigest(test, owner.organisationId)).toEqual(before);
  });
});

it.each<[ImportKindName, ...('dealer-system' | 'front-desk' | 'fleet-planner')[]]>([
  ['fleets', 'dealer-system', 'front-desk', 'fleet-planner'],
  ['depots', 'dealer-system', 'front-desk'],
  ['rosters', 'dealer-system', 'front-desk'],
  ['blackout-periods', 'dealer-system', 'front-desk'],
  ['workshops', 'dealer-system'],
])('a file of %s gives nobody a right that they lack for one of them', async (kind, ...refused) => {
  for (const role of ['dealer-system', 'front-desk', 'fleet-planner'] as const) {
    const client = new ImportClient(files.address, await addKey(test, owner.organisation, role));
    const response = await client.upload(kind, '', { format: 'ndjson' });
    expect([role, response.status]).toEqual([role, refused.some((one) => one === role) ? 403 : 202]);
    if (response.status === 202) await client.ended(((await response.json()) as ImportDto).id);
  }
});
