import { starterProgramme } from '../../src/core/due/starter-programme';
import type { FleetDueItemDto } from '../../src/modules/due-items/dto/due-item.dto';
import { DueItemsService } from '../../src/modules/due-items/due-items.service';
import type {
  PreviewCountsDto,
  ProgrammePreviewDto,
} from '../../src/modules/service-programmes/dto/programme-preview.dto';
import type {
  ProgrammeVersionDto,
  PublishedVersionDto,
} from '../../src/modules/service-programmes/dto/programme-version.dto';
import type { RuleDto } from '../../src/modules/service-programmes/dto/rule.dto';
import type {
  DefaultServiceProgrammeDto,
  ServiceProgrammeDto,
} from '../../src/modules/service-programmes/dto/service-programme.dto';
import { ProgrammeActivationService } from '../../src/modules/service-programmes/programme-activation.service';
import type { VehicleDto } from '../../src/modules/vehicles/dto/vehicle.dto';
import type { NewOrganisation } from '../../src/platform/database/create-organisation';
import { systemPrincipal } from '../../src/platform/security/principal';
import { addKey, apiClient, asOwner, type ApiClient, type Refusal } from '../support/api-client';
import { startTestApp, TEST_NOW, type TestApp } from '../support/test-app';

const PROGRAMMES = '/v1/service-programmes';
const TODAY = '2026-11-25';
const TOMORROW = '2026-11-26';

let test: TestApp;
let organisation: NewOrganisation;
let api: ApiClient;
beforeAll(async () => {
  test = await startTestApp();
  organisation = await test.organisation('Tarn Valley Patient Transport');
  api = apiClient(test, organisation.administratorKey);
});
afterAll(() => test.close());
beforeEach(() => test.setNow(TEST_NOW));

interface Place {
  fleetId: string;
  depotId: string;
}

async function place(client: ApiClient, zone = 'Europe/London', serviceProgrammeId?: string): Promise<Place> {
  const fleet = await client.ok<{ id: string }>('post', '/v1/fleets', {
    body: { name: 'Patient transport', serviceProgrammeId },
  });
  const depot = await client.ok<{ id: string }>('post', '/v1/depots', {
    body: { name: 'Upper Tarn', zone, fleetId: fleet.id },
  });
  return { fleetId: fleet.id, depotId: depot.id };
}

const vehicle = (client: ApiClient, depotId: string, mark: string, facts: object = {}): Promise<VehicleDto> =>
  client.ok<VehicleDto>('post', '/v1/vehicles', {
    body: {
      depotId,
      registrationMark: mark,
      dutyClass: 'normal',
      odometerUnit: 'km',
      inServiceOn: '2024-03-01',
      statedYearlyDistanceKm: 20_000,
      ...facts,
    },
  });

const programmeOf = (client: ApiClient, body: object): Promise<ServiceProgrammeDto> =>
  client.ok<ServiceProgrammeDto>('post', PROGRAMMES, { body });

const draftOf = ({ id, latestVersion }: ServiceProgrammeDto): string =>
  `${PROGRAMMES}/${id}/versions/${latestVersion?.id ?? ''}`;

async function publish(client: ApiClient, path: string, effectiveOn: string): Promise<PublishedVersionDto> {
  const { etag } = await client.call('get', path);
  return client.ok<PublishedVersionDto>('post', `${path}/publish`, { ifMatch: etag, body: { effectiveOn } });
}

const dueItems = async (client: ApiClient): Promise<FleetDueItemDto[]> =>
  (await client.ok<{ items: FleetDueItemDto[] }>('get', '/v1/due-items?limit=500')).items;

const dump = (organisationId: string): Promise<object[]> =>
  asOwner(
    test,
    organisationId,
    `SELECT vehicle_id, item_key, driver, early_on::text, due_on::text, late_on::text, details::text, reasoning::text
      FROM due_items WHERE organisation_id = $1 ORDER BY vehicle_id, item_key`,
    [organisationId],
  );

const dueItemsService = (): DueItemsService => test.app.get(DueItemsService);
const activation = (): ProgrammeActivationService => test.app.get(ProgrammeActivationService);
const worker = (organisationId: string) => systemPrincipal(organisationId, 'activating programmes');

const filterRule: RuleDto = {
  code: 'filter-clean',
  task: 'filter-clean',
  everyMonths: 24,
  everyKm: 60_000,
  tolerance: { earlyDays: 30, lateDays: 14 },
};
const yearlyCheck: RuleDto = {
  code: 'brake-reserve-check',
  task: 'brake-reserve-check',
  everyMonths: 12,
  safetyCritical: true,
};

describe('the starter programme', () => {
  it('is created as a draft, published, made the default, and vehicles then owe what it asks for', async () => {
    const { depotId } = await place(api);
    const { id: vehicleId } = await vehicle(api, depotId, 'TVP 101');
    const programme = await programmeOf(api, { name: 'Starter', fromStarter: true });
    expect(programme).toMatchObject({
      origin: 'starter',
      originNote: "from memory: confirm against the maker's schedule",
      currentVersion: null,
      latestVersion: { versionNumber: 1, state: 'draft', effectiveOn: null },
    });
    const draft = await api.ok<ProgrammeVersionDto>('get', draftOf(programme));
    expect(draft.rules).toEqual(starterProgramme().rules);
    expect(draft.severityByDutyClass).toEqual(starterProgramme().severityByDutyClass);

    expect(await publish(api, draftOf(programme), TODAY)).toMatchObject({
      state: 'published',
      effectiveOn: TODAY,
      activation: 'in-force',
      publishedBy: expect.stringContaining('first administrator') as string,
    });
    expect(await dueItems(api)).toEqual([]);

    const before = await api.call<DefaultServiceProgrammeDto>('get', `${PROGRAMMES}/default`);
    expect(before.body.serviceProgrammeId).toBeNull();
    const chosen = { serviceProgrammeId: programme.id };
    expect(await api.refused('put', `${PROGRAMMES}/default`, { body: chosen })).toEqual([428]);
    const set = await api.call<DefaultServiceProgrammeDto>('put', `${PROGRAMMES}/default`, {
      ifMatch: before.etag,
      body: chosen,
    });
    expect(set).toMatchObject({ status: 200, body: chosen });
    expect(await api.refused('put', `${PROGRAMMES}/default`, { ifMatch: before.etag, body: chosen })).toEqual(
      [412],
    );

    const owed = await api.ok<{ items: FleetDueItemDto[] }>('get', `/v1/vehicles/${vehicleId}/due-items`);
    // by hand: 24 months after 2024-03-01 come before 60,000 km at 20,000 km a year; 30 days early, 14 late
    expect(owed.items.find(({ key }) => key === 'filter-clean')).toMatchObject({
      driver: 'time',
      dueOn: '2026-03-01',
      earlyOn: '2026-01-30',
      lateOn: '2026-03-15',
      state: 'overdue',
    });
    // four suspension units, twice each; nobody has looked which fluid it takes
    expect(owed.items.filter(({ position }) => position?.startsWith('suspension-'))).toHaveLength(8);
    expect(owed.items.find(({ key }) => key === 'fluid-change-mineral')).toMatchObject({
      state: 'undetermined',
      missing: [{ code: 'layout.fluid' }],
    });

    const cleared = await api.call<DefaultServiceProgrammeDto>('put', `${PROGRAMMES}/default`, {
      ifMatch: set.etag,
      body: { serviceProgrammeId: null },
    });
    expect(cleared.body.serviceProgrammeId).toBeNull();
    expect(await dueItems(api)).toEqual([]);
  });
});

describe('a programme', () => {
  it('is created once under an idempotency key, read, listed and changed', async () => {
    const body = { name: 'Urban', originNote: 'workshop meeting', rules: [filterRule] };
    const first = await api.call<ServiceProgrammeDto>('post', PROGRAMMES, {
      body,
      idempotencyKey: 'programme-1',
    });
    const again = await api.call<ServiceProgrammeDto>('post', PROGRAMMES, {
      body,
      idempotencyKey: 'programme-1',
    });
    expect(first.status).toBe(201);
    expect(again.body).toEqual(first.body);
    const path = `${PROGRAMMES}/${first.body.id}`;
    const read = await api.call<ServiceProgrammeDto>('get', path);
    expect(read.body).toEqual(first.body);
    expect(await api.refused('patch', path, { body: { name: 'Urban minibuses' } })).toEqual([428]);
    const changed = await api.call<ServiceProgrammeDto>('patch', path, {
      ifMatch: read.etag,
      body: { name: 'Urban minibuses' },
    });
    expect(changed.body).toMatchObject({
      name: 'Urban minibuses',
      originNote: 'workshop meeting',
      revision: 2,
    });
    expect(await api.refused('patch', path, { ifMatch: read.etag, body: { name: 'X' } })).toEqual([412]);
    expect(await api.refused('post', PROGRAMMES, { body: { ...body, name: 'Urban minibuses' } })).toEqual([
      409,
      '#/name',
    ]);
    const page = await api.ok<{ items: ServiceProgrammeDto[]; next: string | null }>(
      'get',
      `${PROGRAMMES}?limit=1`,
    );
    expect(page.items).toHaveLength(1);
    const rest = await api.ok<{ items: ServiceProgrammeDto[] }>(
      'get',
      `${PROGRAMMES}?limit=100&cursor=${encodeURIComponent(page.next ?? '')}`,
    );
    expect(rest.items.map(({ id }) => id)).toContain(first.body.id);
  });

  it('refuses rules with every error at once, each with the remedy of the engine', async () => {
    const { status, body } = await api.call<Refusal>('post', PROGRAMMES, {
      body: {
        name: 'Faulty',
        severityByDutyClass: { severe: 40 },
        rules: [
          { ...filterRule, everyKm: -5, evryMonths: 3 },
          { code: 'Not A Code', task: 'x' },
          { code: 'filter-clean', task: 'filter-clean', everyMonths: 1.5, appliesTo: { colour: 'red' } },
          'not a rule',
        ],
      },
    });
    expect(status).toBe(422);
    expect(body.errors?.map(({ pointer }) => pointer).sort()).toEqual([
      '#/rules/0/everyKm',
      '#/rules/0/evryMonths',
      '#/rules/1',
      '#/rules/1/code',
      '#/rules/2/appliesTo/colour',
      '#/rules/2/everyMonths',
      '#/rules/3',
      '#/severityByDutyClass/severe',
    ]);
    expect(body.errors?.find(({ pointer }) => pointer === '#/rules/0/everyKm')?.remedy).toBe(
      'give a whole number from 1 to 5000000',
    );

    const refusals: [object, string][] = [
      [{ rules: [filterRule] }, '#/name'],
      [{ name: 'N' }, '#/rules'],
      [{ name: 'N', rules: [] }, '#/rules'],
      [{ name: 'N', rules: 'all' }, '#/rules'],
      [
        { name: 'N', rules: Array.from({ length: 201 }, (_, i) => ({ ...filterRule, code: `r-${i}` })) },
        '#/rules',
      ],
      [{ name: 'N', fromStarter: true, rules: [filterRule] }, '#/rules'],
      [{ name: 'N', fromStarter: true, severityByDutyClass: { severe: 0.5 } }, '#/severityByDutyClass'],
      [{ name: 'N', fromStarter: 'yes' }, '#/fromStarter'],
      [{ name: 'N', rules: [filterRule], severityByDutyClass: 3 }, '#/severityByDutyClass'],
      [{ name: 'N', rules: [filterRule], originNote: '' }, '#/originNote'],
      [{ name: 'N', rules: [filterRule], colour: 'red' }, '#/colour'],
      [{ name: 'N', rules: [filterRule, filterRule] }, '#/rules/1/code'],
    ];
    for (const [faulty, pointer] of refusals) {
      const answer = await api.refused('post', PROGRAMMES, { body: faulty });
      expect([faulty, answer[0], answer.slice(1).includes(pointer)]).toEqual([faulty, 422, true]);
    }
  });

  it('has versions: drafts may be changed and deleted, published ones never', async () => {
    const programme = await programmeOf(api, { name: 'Versions', rules: [filterRule] });
    const versions = `${PROGRAMMES}/${programme.id}/versions`;
    const first = await publish(api, draftOf(programme), TODAY);

    const published = `${versions}/${first.id}`;
    const { etag } = await api.call('get', published);
    const rules = [filterRule, yearlyCheck];
    expect(await api.refused('put', published, { ifMatch: etag, body: { rules } })).toEqual([
      409,
      'versionId',
    ]);
    expect(await api.refused('delete', published, { ifMatch: etag })).toEqual([409, 'versionId']);
    expect(
      await api.refused('post', `${published}/publish`, { ifMatch: etag, body: { effectiveOn: TODAY } }),
    ).toEqual([409, 'versionId']);

    expect(await api.refused('post', versions, { body: { changeNote: 'nothing' } })).toEqual([
      422,
      '#/rules',
    ]);
    expect(await api.refused('post', versions, { body: { basedOn: programme.id, changeNote: 'x' } })).toEqual(
      [422, '#/basedOn'],
    );
    expect(await api.refused('post', versions, { body: { rules: [{ ...filterRule, task: 3 }] } })).toEqual([
      422,
      '#/changeNote',
    ]);
    const second = await api.ok<ProgrammeVersionDto>('post', versions, {
      body: { basedOn: first.id, severityByDutyClass: { severe: 0.7 }, changeNote: 'hard duty' },
    });
    expect(second).toMatchObject({
      versionNumber: 2,
      state: 'draft',
      rules: [filterRule],
      severityByDutyClass: { severe: 0.7 },
    });
    const draft = `${versions}/${second.id}`;
    expect(await api.refused('put', draft, { body: { rules } })).toEqual([428]);
    const put = await api.call<ProgrammeVersionDto>('put', draft, { ifMatch: '"r1"', body: { rules } });
    expect(put.body).toMatchObject({ rules, severityByDutyClass: {}, changeNote: 'hard duty', revision: 2 });
    expect(await api.refused('put', draft, { ifMatch: '"r1"', body: { rules } })).toEqual([412]);
    expect(
      await api.refused('put', draft, {
        ifMatch: '"r2"',
        body: { rules: [{ ...filterRule, everyKm: 'x' }] },
      }),
    ).toEqual([422, '#/rules/0/everyKm']);

    const list = await api.ok<{ items: ProgrammeVersionDto[] }>('get', versions);
    expect(list.items.map(({ versionNumber, ruleCount }) => [versionNumber, ruleCount])).toEqual([
      [2, 2],
      [1, 1],
    ]);
    expect(list.items[0]).not.toHaveProperty('rules');
    const { etag: withDraft, body: told } = await api.call<ServiceProgrammeDto>(
      'get',
      `${PROGRAMMES}/${programme.id}`,
    );
    expect(told).toMatchObject({ currentVersion: { versionNumber: 1 }, latestVersion: { versionNumber: 2 } });
    expect(await api.refused('delete', draft, { ifMatch: '"r1"' })).toEqual([412]);
    expect((await api.call('delete', draft, { ifMatch: '"r2"' })).status).toBe(204);
    expect(await api.refused('get', draft)).toEqual([404]);
    expect((await api.call('get', `${PROGRAMMES}/${programme.id}`)).etag).not.toBe(withDraft);
  });
});

describe('publishing', () => {
  it('does exactly what the preview says', async () => {
    const other = await test.organisation('Preview');
    const client = apiClient(test, other.administratorKey);
    const programme = await programmeOf(client, {
      name: 'Moving',
      rules: [
        filterRule,
        { ...yearlyCheck, everyMonths: 36 },
        { code: 'regulator-check', task: 'regulator-check', everyMonths: 24 },
        { code: 'hose-look', task: 'hose-look', everyMonths: 12, tolerance: { lateDays: 5 } },
        { code: 'seat-look', task: 'seat-look', everyMonths: 12 },
        { code: 'belt-look', task: 'belt-look', everyMonths: 12 },
      ],
    });
    const { depotId } = await place(client, 'Europe/London', programme.id);
    await publish(client, draftOf(programme), TODAY);
    for (const [mark, inServiceOn] of [
      ['TVP 201', '2024-03-01'],
      ['TVP 202', '2025-11-20'],
      ['TVP 203', '2026-10-01'],
      ['TVP 204', null],
    ]) {
      await vehicle(client, depotId, mark ?? '', { inServiceOn });
    }
    const draft = await client.ok<ProgrammeVersionDto>('post', `${PROGRAMMES}/${programme.id}/versions`, {
      body: {
        changeNote: 'shorter',
        rules: [
          { ...filterRule, everyMonths: 12 },
          yearlyCheck,
          { code: 'regulator-check', task: 'regulator-check', everyMonths: 30 },
          { code: 'hose-look', task: 'hose-look', everyMonths: 12, tolerance: { lateDays: 400 } },
          { code: 'seat-look', task: 'seat-look', everyEngineHours: 500 },
          { code: 'door-look', task: 'door-look', everyMonths: 6 },
        ],
      },
    });
    const path = `${PROGRAMMES}/${programme.id}/versions/${draft.id}`;
    const before = await dueItems(client);
    const stored = await dump(other.organisationId);
    const preview = await client.ok<ProgrammePreviewDto>('post', `${path}/preview`);
    expect(await dump(other.organisationId)).toEqual(stored);

    expect((await publish(client, path, TODAY)).activation).toBe('in-force');
    const after = await dueItems(client);
    expect(preview.counts).toEqual(difference(before, after, 4));
    // the case holds every kind of move, so that equal numbers mean something
    const { unchanged, vehicles, becameDetermined, noLongerOverdue, vehiclesOffSafetyHold, ...moves } =
      preview.counts;
    expect(Object.entries(moves).filter(([, count]) => count === 0)).toEqual([]);
    expect([unchanged > 0, vehicles, becameDetermined, noLongerOverdue > 0, vehiclesOffSafetyHold]).toEqual([
      true,
      4,
      0,
      true,
      0,
    ]);
    expect(preview.moved).toHaveLength(preview.movedCount);
    const sizes = preview.moved.map(({ movedDays }) => (movedDays === null ? -1 : Math.abs(movedDays)));
    expect(sizes).toEqual([...sizes].sort((a, b) => b - a));
    for (const { registrationMark, key, dueOnBefore, dueOnAfter, stateBefore, stateAfter } of preview.moved) {
      const was = before.find((item) => item.registrationMark === registrationMark && item.key === key);
      const is = after.find((item) => item.registrationMark === registrationMark && item.key === key);
      expect([dueOnBefore, stateBefore, dueOnAfter, stateAfter]).toEqual([
        was?.dueOn ?? null,
        was?.state ?? null,
        is?.dueOn ?? null,
        is?.state ?? null,
      ]);
    }
    // by hand: 12 months instead of 24 after 2024-03-01, a year of 365 days earlier
    expect(
      preview.moved.find(
        ({ key, registrationMark }) => key === 'filter-clean' && registrationMark === 'TVP 201',
      ),
    ).toMatchObject({
      move: 'earlier',
      movedDays: -365,
      dueOnBefore: '2026-03-01',
      dueOnAfter: '2025-03-01',
    });

    const published = await dump(other.organisationId);
    await dueItemsService().recomputeInBatches(worker(other.organisationId));
    expect(await dump(other.organisationId)).toEqual(published);
    const nothing = await client.ok<ProgrammePreviewDto>('post', `${path}/preview?limit=1`);
    expect([nothing.movedCount, nothing.counts.unchanged]).toEqual([0, published.length]);
  });

  it('waits for its day, and of two versions of one day the later published wins', async () => {
    const other = await test.organisation('Waiting');
    const client = apiClient(test, other.administratorKey);
    const programme = await programmeOf(client, { name: 'Waiting', rules: [filterRule] });
    const { depotId } = await place(client, 'Europe/London', programme.id);
    const { id } = await vehicle(client, depotId, 'TVP 301');
    await publish(client, draftOf(programme), TODAY);
    const versions = `${PROGRAMMES}/${programme.id}/versions`;
    const draftEvery = async (everyMonths: number): Promise<string> =>
      `${versions}/${(await client.ok<ProgrammeVersionDto>('post', versions, { body: { rules: [{ ...filterRule, everyMonths }], changeNote: 'x' } })).id}`;
    const [second, third] = [await draftEvery(12), await draftEvery(18)];

    expect((await publish(client, third, TOMORROW)).activation).toBe('waiting');
    expect((await publish(client, second, TOMORROW)).activation).toBe('waiting');
    // the worker is called when the day begins at the depot
    expect(
      await asOwner(
        test,
        other.organisationId,
        `SELECT DISTINCT start_after AS "startsAt" FROM jobs.job WHERE name = 'activate-programmes'
          AND data ->> 'organisationId' = $1`,
        [other.organisationId],
      ),
    ).toEqual([{ startsAt: new Date('2026-11-26T00:00:00Z') }]);
    const dueOn = async (): Promise<(string | null)[]> =>
      (await client.ok<{ items: FleetDueItemDto[] }>('get', `/v1/vehicles/${id}/due-items`)).items.map(
        (item) => item.dueOn,
      );
    expect(await dueOn()).toEqual(['2026-03-01']);
    await activation().activateDue(worker(other.organisationId));
    expect(await dueOn()).toEqual(['2026-03-01']);

    test.setNow(Date.parse('2026-11-26T00:00:30Z'));
    const activated = await activation().activateDue(worker(other.organisationId));
    expect(activated).toEqual([
      { programmeId: programme.id, versionId: second.split('/').at(-1), vehicles: 1 },
    ]);
    expect(await dueOn()).toEqual(['2025-03-01']);
    expect(await client.ok('get', `${PROGRAMMES}/${programme.id}`)).toMatchObject({
      currentVersion: { versionNumber: 2, effectiveOn: TOMORROW },
      latestVersion: { versionNumber: 3 },
    });
    const stored = await dump(other.organisationId);
    await activation().activateDue(worker(other.organisationId));
    expect(await dump(other.organisationId)).toEqual(stored);
    // a job that comes late does not turn the programme back
    expect(
      await activation().activate(worker(other.organisationId), programme.id, third.split('/').at(-1) ?? ''),
    ).toBe(0);
    expect(await dueOn()).toEqual(['2025-03-01']);
  });

  it('takes today from the depot whose day began first', async () => {
    const other = await test.organisation('Far east');
    const client = apiClient(test, other.administratorKey);
    const programme = await programmeOf(client, { name: 'Far east', rules: [filterRule] });
    await place(client, 'Europe/London', programme.id);
    const { depotId } = await place(client, 'Pacific/Auckland', programme.id);
    await vehicle(client, depotId, 'TVP 401');
    const path = draftOf(programme);
    // 2026-11-25T12:00Z is 01:00 on the 26th in Auckland
    for (const [effectiveOn, answer] of [
      [TODAY, [422, '#/effectiveOn']],
      ['2026-11-31', [422, '#/effectiveOn']],
      [undefined, [422, '#/effectiveOn']],
    ] as const) {
      expect(
        await client.refused('post', `${path}/publish`, { ifMatch: '"r1"', body: { effectiveOn } }),
      ).toEqual(answer);
    }
    expect(await client.refused('post', `${path}/publish`, { body: { effectiveOn: TOMORROW } })).toEqual([
      428,
    ]);
    expect((await publish(client, path, TOMORROW)).activation).toBe('in-force');
    expect(await dueItems(client)).toHaveLength(1);
  });

  it('leaves more than 500 vehicles to the worker, and misses none', async () => {
    const other = await test.organisation('Many');
    const client = apiClient(test, other.administratorKey);
    const programme = await programmeOf(client, { name: 'Many', rules: [filterRule, yearlyCheck] });
    const { depotId, fleetId } = await place(client, 'Europe/London', programme.id);
    await asOwner(
      test,
      other.organisationId,
      `INSERT INTO vehicles (organisation_id, fleet_id, depot_id, registration_mark, duty_class, odometer_unit,
          in_service_on, stated_yearly_distance_km)
        SELECT $1, $2, $3, 'TVP ' || n, 'normal', 'km', DATE '2024-01-01' + n, 10000 + n FROM generate_series(1, 501) n`,
      [other.organisationId, fleetId, depotId],
    );
    const preview = await client.ok<ProgrammePreviewDto>('post', `${draftOf(programme)}/preview?limit=7`);
    expect(preview).toMatchObject({ counts: { vehicles: 501, new: 1002 }, movedCount: 1002 });
    expect(preview.moved).toHaveLength(7);
    expect((await publish(client, draftOf(programme), TODAY)).activation).toBe('being-computed');
    expect(await dump(other.organisationId)).toEqual([]);
    await activation().activateDue(worker(other.organisationId));
    expect(await dump(other.organisationId)).toHaveLength(1002);
  });
});

describe('who may do what', () => {
  it('keeps organisations, roles and fleets apart', async () => {
    const programme = await programmeOf(api, { name: 'Guarded', rules: [filterRule] });
    const path = draftOf(programme);
    const stranger = apiClient(test, (await test.organisation('Strangers')).administratorKey);
    const publishing = { ifMatch: '"r1"', body: { effectiveOn: TODAY } };
    for (const [method, address, options] of [
      ['get', `${PROGRAMMES}/${programme.id}`, {}],
      ['patch', `${PROGRAMMES}/${programme.id}`, { ifMatch: '"r1"', body: { name: 'Mine' } }],
      ['get', `${PROGRAMMES}/${programme.id}/versions`, {}],
      ['post', `${PROGRAMMES}/${programme.id}/versions`, { body: { rules: [filterRule], changeNote: 'x' } }],
      ['get', path, {}],
      ['put', path, { ifMatch: '"r1"', body: { rules: [filterRule] } }],
      ['delete', path, { ifMatch: '"r1"' }],
      ['post', `${path}/preview`, {}],
      ['post', `${path}/publish`, publishing],
    ] as const) {
      expect([method, address, ...(await stranger.refused(method, address, options))]).toEqual([
        method,
        address,
        404,
      ]);
    }
    expect(
      await stranger.refused('put', `${PROGRAMMES}/default`, {
        ifMatch: '"r1"',
        body: { serviceProgrammeId: programme.id },
      }),
    ).toEqual([422, '#/serviceProgrammeId']);

    const technician = apiClient(test, await addKey(test, organisation, 'technician'));
    expect((await technician.call('get', path)).status).toBe(200);
    expect(
      await technician.refused('post', PROGRAMMES, { body: { name: 'T', rules: [filterRule] } }),
    ).toEqual([403]);
    expect(await technician.refused('post', `${path}/preview`)).toEqual([403]);
    expect(await technician.refused('post', `${path}/publish`, publishing)).toEqual([403]);

    const { fleetId } = await place(api);
    const planner = apiClient(test, await addKey(test, organisation, 'fleet-planner', [fleetId]));
    expect((await planner.call('post', `${path}/preview`)).status).toBe(200);
    expect(await planner.refused('post', `${path}/publish`, publishing)).toEqual([403]);
    const { etag } = await planner.call('get', `${PROGRAMMES}/default`);
    expect(
      await planner.refused('put', `${PROGRAMMES}/default`, {
        ifMatch: etag,
        body: { serviceProgrammeId: null },
      }),
    ).toEqual([403]);
  });
});

/** What moved between two readings of the list, counted without the program's own comparison. */
function difference(before: FleetDueItemDto[], after: FleetDueItemDto[], vehicles: number): PreviewCountsDto {
  const name = ({ vehicleId, key }: FleetDueItemDto): string => `${vehicleId} ${key}`;
  const old = new Map(before.map((item) => [name(item), item]));
  const now = new Map(after.map((item) => [name(item), item]));
  const pairs = after.flatMap((is) => {
    const was = old.get(name(is));
    return was === undefined ? [] : [{ was, is }];
  });
  const dated = pairs.filter(({ was, is }) => was.dueOn !== null && is.dueOn !== null);
  const sameDay = pairs.filter(
    ({ was, is }) =>
      was.dueOn === is.dueOn && (was.state === 'undetermined') === (is.state === 'undetermined'),
  );
  const sameWindow = sameDay.filter(({ was, is }) => was.earlyOn === is.earlyOn && was.lateOn === is.lateOn);
  const overdue = (items: Map<string, FleetDueItemDto>, key: string): boolean =>
    items.get(key)?.state === 'overdue';
  const names = [...new Set([...old.keys(), ...now.keys()])];
  const held = (items: FleetDueItemDto[]): Set<string> =>
    new Set(
      items.filter((item) => item.safetyCritical && item.state === 'overdue').map((item) => item.vehicleId),
    );
  const [heldBefore, heldAfter] = [held(before), held(after)];
  return {
    vehicles,
    unchanged: sameWindow.length,
    windowMoved: sameDay.length - sameWindow.length,
    earlier: dated.filter(({ was, is }) => (is.dueOn ?? '') < (was.dueOn ?? '')).length,
    later: dated.filter(({ was, is }) => (is.dueOn ?? '') > (was.dueOn ?? '')).length,
    new: after.filter((item) => !old.has(name(item))).length,
    gone: before.filter((item) => !now.has(name(item))).length,
    becameUndetermined: pairs.filter(
      ({ was, is }) => is.state === 'undetermined' && was.state !== 'undetermined',
    ).length,
    becameDetermined: pairs.filter(
      ({ was, is }) => is.state !== 'undetermined' && was.state === 'undetermined',
    ).length,
    newlyOverdue: names.filter((key) => overdue(now, key) && !overdue(old, key)).length,
    noLongerOverdue: names.filter((key) => overdue(old, key) && !overdue(now, key)).length,
    vehiclesNewlyOnSafetyHold: [...heldAfter].filter((id) => !heldBefore.has(id)).length,
    vehiclesOffSafetyHold: [...heldBefore].filter((id) => !heldAfter.has(id)).length,
  };
}
