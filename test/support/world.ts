import { AuditSealingService } from '../../src/modules/audit-seals/audit-sealing.service';
import { DowntimePlanRunnerService } from '../../src/modules/downtime-plans/downtime-plan-runner.service';
import { ImportRunnerService } from '../../src/modules/imports/import-runner.service';
import { dispatchWebhooks } from './dispatch-webhooks';
import type { NewOrganisation } from '../../src/platform/database/create-organisation';
import { roles, type Role } from '../../src/platform/security/role';
import { tokenOf, type HeldClient } from './oauth-client';
import { invitePerson, signedInPerson, type InvitedPerson, type SignedInPerson } from './people';
import { send, type Message, type Sent } from './send';
import type { TestApp } from './test-app';

/** The day of the tests, and the days around it. */
export const TODAY = '2026-11-25';

/** An organisation that has at least one record, and in every list two, of everything that the API knows. */
export interface World {
  organisation: NewOrganisation;
  /** ids by the name of the path parameter that takes them */
  ids: Record<string, string>;
  /** a key of each role that sees every fleet */
  keys: Record<Role, string>;
  /** an access token of each role that sees every fleet */
  tokens: Record<Role, string>;
  /** a planner and an administrator that see the other fleet alone, where the ids above are not, by key and by token */
  otherFleet: { id: string; depotId: string; vehicleId: string; keys: FleetAccess; tokens: FleetAccess };
  /** an administrator who has signed in, and somebody who is invited */
  person: SignedInPerson;
  invited: InvitedPerson;
  /** other ids for operations that end what the rest of them need */
  idsOf: Record<string, Record<string, string>>;
  /** what the hold of the vehicle is made of, as overrides name it */
  reasonKeys: string[];
}

export interface FleetAccess {
  planner: string;
  administrator: string;
}

interface Identified {
  id: string;
}

const RULES = [
  { code: 'fluid-change', task: 'fluid-change', everyMonths: 24, everyKm: 60_000 },
  { code: 'brake-reserve-check', task: 'brake-reserve-check', everyMonths: 6, safetyCritical: true },
];

/**
 * Fills a new organisation through the API. The external keys are the same in every world, so that two worlds
 * on one database also show that a key of one organisation is free in another.
 */
export async function buildWorld(test: TestApp, name: string): Promise<World> {
  const organisation = await test.organisation(name);
  const administrator = organisation.administratorKey;
  const ask = async <T>(method: string, path: string, message: Message = {}): Promise<T> =>
    expectSuccess(method, path, await send(test, method, path, { key: administrator, ...message })) as T;
  const add = async (path: string, body: object): Promise<string> =>
    (await ask<Identified>('POST', path, { body })).id;
  const etagOf = async (path: string): Promise<string> =>
    (await send(test, 'GET', path, { key: administrator })).headers.etag ?? '';

  const fleetId = await add('/v1/fleets', { name: 'Patient transport', externalKey: 'F1' });
  const otherFleetId = await add('/v1/fleets', { name: 'School runs', externalKey: 'F2' });
  const depot = { name: 'Upper Tarn', zone: 'Europe/London' };
  const depotId = await add('/v1/depots', { ...depot, fleetId, externalKey: 'D1' });
  const otherDepotId = await add('/v1/depots', { ...depot, fleetId: otherFleetId, externalKey: 'D2' });

  const programmeId = await add('/v1/service-programmes', { name: 'Own schedule', rules: RULES });
  await add('/v1/service-programmes', { name: 'Second schedule', rules: RULES });
  const versions = `/v1/service-programmes/${programmeId}/versions`;
  const [first] = (await ask<{ items: Identified[] }>('GET', versions)).items;
  const published = `${versions}/${first?.id ?? ''}`;
  await ask('POST', `${published}/publish`, {
    body: { effectiveOn: TODAY },
    headers: { 'if-match': await etagOf(published) },
  });
  const versionId = await add(versions, { basedOn: first?.id, changeNote: 'a shorter interval' });
  const defaultPath = '/v1/service-programmes/default';
  await ask('PUT', defaultPath, {
    body: { serviceProgrammeId: programmeId },
    headers: { 'if-match': await etagOf(defaultPath) },
  });

  const vehicle = { dutyClass: 'normal', odometerUnit: 'km', inServiceOn: '2024-01-10' };
  const vehicleId = await add('/v1/vehicles', {
    ...vehicle,
    depotId,
    registrationMark: 'TVP 101',
    externalKey: 'V1',
  });
  const secondVehicleId = await add('/v1/vehicles', {
    ...vehicle,
    depotId,
    registrationMark: 'TVP 102',
    externalKey: 'V2',
  });
  const otherVehicleId = await add('/v1/vehicles', {
    ...vehicle,
    depotId: otherDepotId,
    registrationMark: 'TVP 201',
    externalKey: 'V3',
  });

  const ofVehicle = `/v1/vehicles/${vehicleId}`;
  const read = async (readAt: string, value: number): Promise<Identified & { state: string }> =>
    ask('POST', `${ofVehicle}/odometer-readings`, {
      body: { value, readAt: `${readAt}T09:00:00Z`, source: 'driver-sheet', externalKey: `R ${readAt}` },
    });
  for (const [readAt, value] of [
    ['2025-03-01', 20_000],
    ['2025-09-01', 30_000],
    ['2026-03-01', 40_000],
  ] as const) {
    await read(readAt, value);
  }
  const replacements = `${ofVehicle}/odometer-replacements`;
  const replacementId = await add(replacements, {
    replacedAt: '2026-03-10T10:00:00Z',
    oldFinalValue: 40_200,
    newInitialValue: 0,
    externalKey: 'S1',
  });
  await add(replacements, {
    meter: 'engine-hours',
    replacedAt: '2026-03-11T10:00:00Z',
    oldFinalValue: 900,
    newInitialValue: 0,
  });
  await read('2026-06-01', 5_000);
  await read('2026-09-01', 10_000);
  const suspicious = await read('2026-10-01', 900);
  if (suspicious.state !== 'quarantined') throw new Error('the world needs a reading in quarantine');

  const dutyChanges = `${ofVehicle}/duty-changes`;
  const dutyChangeId = await add(dutyChanges, {
    fromOn: '2025-05-01',
    dutyClass: 'urban-stop-start',
    externalKey: 'C1',
  });
  await add(dutyChanges, { fromOn: '2026-05-01', dutyClass: 'normal' });
  const offRoad = `${ofVehicle}/off-road-periods`;
  const period = { reason: 'waiting for a body part' };
  const offRoadPeriodId = await add(offRoad, {
    ...period,
    fromOn: '2026-07-01',
    untilOn: '2026-07-08',
    externalKey: 'O1',
  });
  await add(offRoad, { ...period, fromOn: '2026-08-01', untilOn: '2026-08-03' });
  const completions = `${ofVehicle}/task-completions`;
  const completionId = await add(completions, {
    task: 'fluid-change',
    doneOn: '2025-02-03',
    externalKey: 'T1',
  });
  await add(completions, { task: 'filter-clean', doneOn: '2026-02-03' });
  for (const pumpKind of ['single-outlet', 'split']) {
    const path = `${ofVehicle}/hydraulic-system`;
    await ask('PUT', path, {
      body: { ...UNKNOWN_LAYOUT, pumpKind, rearBrakeAccumulator: 'unverified' },
      headers: { 'if-match': await etagOf(path) },
    });
  }
  await ask('PUT', `/v1/vehicles/${secondVehicleId}/hydraulic-system`, {
    body: { ...UNKNOWN_LAYOUT, pumpKind: 'split', rearBrakeAccumulator: 'unverified' },
    headers: { 'if-match': await etagOf(`/v1/vehicles/${secondVehicleId}/hydraulic-system`) },
  });

  await add(`/v1/vehicles/${secondVehicleId}/holds`, { reason: 'fluid on the floor of the bay' });
  const holdId = await add(`${ofVehicle}/holds`, { reason: 'does not rise at the rear left' });
  await add(`/v1/vehicles/${otherVehicleId}/holds`, { reason: 'fluid on the floor of the bay' });
  const hold = await ask<{ reasons: { key: string }[] }>('GET', `${ofVehicle}/hold`);
  const reasonKeys = hold.reasons.map(({ key }) => key);
  const overrides = `${ofVehicle}/hold-overrides`;
  const override = {
    reasonKeys,
    namedPerson: 'workshop manager',
    statement: 'may be driven to the workshop, empty and slowly',
    fromOn: TODAY,
    untilOn: '2026-11-27',
  };
  const overrideId = await add(overrides, override);
  await add(overrides, override);

  const keys = { administrator } as Record<Role, string>;
  const makeKey = (body: object): Promise<{ id: string; key: string }> =>
    ask('POST', '/v1/api-keys', { body });
  for (const role of roles) {
    if (role !== 'administrator') keys[role] = (await makeKey({ name: role, role })).key;
  }
  const { id: keyId } = await makeKey({ name: 'used by nobody', role: 'technician' });
  const makeClient = (body: object): Promise<HeldClient> => ask('POST', '/v1/oauth-clients', { body });
  const makeToken = async (body: object): Promise<string> => tokenOf(test, await makeClient(body));
  const tokens = {} as Record<Role, string>;
  for (const role of roles) tokens[role] = await makeToken({ name: role, role });
  const { id: oauthClientId } = await makeClient({ name: 'used by nobody', role: 'technician' });
  const ofOtherFleet = (role: Role): object => ({
    name: `${role} of the other fleet`,
    role,
    fleetIds: [otherFleetId],
  });
  const otherFleet = {
    id: otherFleetId,
    depotId: otherDepotId,
    vehicleId: otherVehicleId,
    keys: {
      planner: (await makeKey(ofOtherFleet('fleet-planner'))).key,
      administrator: (await makeKey(ofOtherFleet('administrator'))).key,
    },
    tokens: {
      planner: await makeToken(ofOtherFleet('fleet-planner')),
      administrator: await makeToken(ofOtherFleet('administrator')),
    },
  };

  const webhookEndpointId = await add('/v1/webhook-endpoints', { url: 'https://receiver.example/in' });
  await add('/v1/webhook-endpoints', { url: 'https://receiver.example/other', enabled: false });
  const unitTypeId = await add('/v1/gas-unit-types', {
    code: 'sphere-55',
    name: 'Suspension unit, 55 bar',
    roles: ['suspension'],
    nominalPrecharge20BarGauge: 55,
    gasVolumeCm3: 400,
    damperIntegral: true,
    externalKey: 'Y1',
  });
  await add('/v1/gas-unit-types', {
    code: 'main-62',
    name: 'Main accumulator, 62 bar',
    roles: ['main-accumulator'],
    nominalPrecharge20BarGauge: 62,
    gasVolumeCm3: 400,
    damperIntegral: false,
  });
  const unitPositionId = await add('/v1/unit-positions', {
    code: 'centre-axle-left',
    name: 'Centre axle, left',
    role: 'suspension',
  });
  const gaugeId = await add('/v1/gauges', { code: 'G-1', name: 'Rig gauge', rangeHighBarGauge: 250 });
  await add('/v1/gauges', { code: 'G-2', name: 'Spare gauge', rangeHighBarGauge: 100 });
  const gasUnitId = await addUnit(add, fleetId, unitTypeId, '1', {
    state: 'fitted',
    vehicleId,
    position: 'suspension-front-left',
    fromAt: '2024-02-01T09:00:00Z',
  });
  await addUnit(add, fleetId, unitTypeId, '2', {
    state: 'fitted',
    vehicleId,
    position: 'suspension-front-right',
    fromAt: '2024-02-01T09:00:00Z',
  });
  const ofUnit = `/v1/gas-units/${gasUnitId}`;
  await ask('POST', '/v1/unit-moves', {
    body: {
      at: '2026-02-01T09:00:00Z',
      movedBy: 'technician T07',
      moves: [{ gasUnitId, to: { state: 'on-the-shelf', depotId } }],
    },
  });
  const placements = await ask<{ items: Identified[] }>('GET', `${ofUnit}/placements`);
  const placementId = placements.items.find((one) => !('untilAt' in one && one.untilAt !== null))?.id ?? '';
  const measured = { gasTemperatureC: 18, doneBy: 'technician T07' };
  await add(`${ofUnit}/charges`, {
    ...measured,
    doneAt: '2024-02-01T09:30:00Z',
    pressureBarGauge: 54.6,
    gas: 'nitrogen',
    externalKey: 'P1',
  });
  const eventId = await add(`${ofUnit}/precharge-tests`, {
    ...measured,
    doneAt: '2026-02-01T09:30:00Z',
    pressureBarGauge: 50.2,
    gaugeId,
    externalKey: 'P2',
  });
  await ask('POST', '/v1/precharge-models/refit', { body: {} });
  const systemTests = `${ofVehicle}/system-tests`;
  const systemTest = { task: 'brake-reserve-test', applicationsUntilWarning: 5, doneBy: 'technician T07' };
  const systemTestId = await add(systemTests, {
    ...systemTest,
    doneAt: '2026-11-02T09:00:00Z',
    externalKey: 'B1',
  });
  await add(systemTests, { ...systemTest, doneAt: '2026-11-03T09:00:00Z' });

  const workshop = await addWorkshops(add);
  const booking = { vehicleId, workshopId: workshop.workshopId, ...SOME_WORK };
  const bookingId = await add('/v1/bookings', {
    ...booking,
    startsAt: '2026-11-26T09:00:00Z',
    externalKey: 'K1',
  });
  const secondBookingId = await add('/v1/bookings', { ...booking, startsAt: '2026-11-27T09:00:00Z' });
  await add(`/v1/bookings/${secondBookingId}/job-sheet`, {});
  const jobSheetId = await add(`/v1/bookings/${bookingId}/job-sheet`, {});
  const withoutSheetId = await add('/v1/bookings', { ...booking, startsAt: '2026-12-03T09:00:00Z' });
  for (const id of [secondBookingId, withoutSheetId])
    await ask('POST', `/v1/bookings/${id}/arrival`, { body: {}, headers: { 'if-match': '"r1"' } });
  const cancelledId = await add('/v1/bookings', { ...booking, startsAt: '2026-11-30T09:00:00Z' });

  const feedAt = (path: string): Promise<{ id: string; address: string }> =>
    ask('POST', `${path}/calendar-feeds`, { body: { label: 'front desk' } });
  const feed = await feedAt(`/v1/workshops/${workshop.workshopId}`);
  await feedAt(`/v1/depots/${depotId}`);

  const person = await signedInPerson(test, administrator, { name: 'Juniper', role: 'administrator' });
  const invited = await invitePerson(test, administrator, { name: 'Wren' });
  // somebody else to be invited anew
  const personId = (await invitePerson(test, administrator, { name: 'Rowan' })).id;

  const blackouts = `${ofVehicle}/blackout-periods`;
  const blackout = { fromOn: '2026-12-24', reason: 'the only one with a stretcher lift' };
  const blackoutPeriodId = await add(blackouts, {
    ...blackout,
    untilOn: '2027-01-02',
    externalKey: 'blackout-1',
  });
  await add(blackouts, { ...blackout, untilOn: '2027-01-03' });
  const ofDepot = `/v1/depots/${depotId}`;
  const noDay = { monday: 0, tuesday: 0, wednesday: 0, thursday: 0, friday: 0, saturday: 0, sunday: 0 };
  const reach = { workshopId: workshop.workshopId, transferMinutes: 20, transferCostMinor: 1_500 };
  for (const [path, body] of [
    [`${ofDepot}/roster`, { neededByWeekday: { ...noDay, monday: 1 } }],
    [`${ofDepot}/workshop-reach`, { workshops: [reach] }],
    ['/v1/planning-settings', PLANNING_SETTINGS],
  ] as const)
    await ask('PUT', path, { body, headers: { 'if-match': await etagOf(path) } });

  const importId = await importReadings(test, organisation, ask);
  await importReadings(test, organisation, ask);
  await ask('POST', '/v1/usage-models/refit', { body: { fleetId } });
  const [dueItem] = (await ask<{ items: Identified[] }>('GET', `${ofVehicle}/due-items`)).items;

  const downtimePlanId = await makePlan(test, organisation, ask, {
    fleetId,
    vehicleId,
    workshopId: workshop.workshopId,
  });
  const visits = await ask<{ items: Identified[] }>('GET', `/v1/downtime-plans/${downtimePlanId}/visits`);
  const [deliveryId = ''] = await dispatchWebhooks(test, organisation.organisationId, webhookEndpointId, 2);
  const queuedPlanId = await add('/v1/downtime-plans', { fleetId });

  await test.app.get(AuditSealingService).seal(organisation.organisationId);
  const ofTheVehicle = `/v1/audit-entries?vehicleId=${vehicleId}&limit=1`;
  const [auditEntry] = (await ask<{ items: Identified[] }>('GET', ofTheVehicle)).items;

  const ids = {
    fleetId,
    depotId,
    vehicleId,
    programmeId,
    versionId,
    readingId: suspicious.id,
    replacementId,
    dutyChangeId,
    offRoadPeriodId,
    completionId,
    holdId,
    overrideId,
    keyId,
    oauthClientId,
    importId,
    dueItemId: dueItem?.id ?? '',
    gasUnitTypeId: unitTypeId,
    unitTypeId,
    unitPositionId,
    gaugeId,
    gasUnitId,
    placementId,
    eventId,
    systemTestId,
    position: 'suspension-front-left',
    ...workshop,
    bookingId,
    jobSheetId,
    blackoutPeriodId,
    personId,
    calendarFeedId: feed.id,
    calendarSecret: feed.address.split('/').at(-2) ?? '',
    downtimePlanId,
    withId: downtimePlanId,
    webhookEndpointId,
    deliveryId,
    plannedVisitId: visits.items[0]?.id ?? '',
    auditEntryId: auditEntry?.id ?? '',
    subjectId: vehicleId,
  };
  const idsOf = {
    Bookings_cancel: { bookingId: cancelledId },
    JobSheets_create: { bookingId: withoutSheetId },
    DowntimePlans_stop: { downtimePlanId: queuedPlanId },
  };
  return { organisation, ids, idsOf, keys, tokens, otherFleet, person, invited, reasonKeys };
}

const SOME_WORK = { dueItemKeys: [], extraWork: [{ title: 'Look it over', minutes: 60 }] };

/** A plan that is ready, with two visits of the vehicle. */
async function makePlan(
  test: TestApp,
  { organisationId }: NewOrganisation,
  ask: <T>(method: string, path: string, message?: Message) => Promise<T>,
  { fleetId, vehicleId, workshopId }: { fleetId: string; vehicleId: string; workshopId: string },
): Promise<string> {
  const { items } = await ask<{ items: { key: string; dueOn: string | null }[] }>(
    'GET',
    `/v1/vehicles/${vehicleId}/due-items`,
  );
  const keys = items.filter(({ dueOn }) => dueOn !== null && dueOn < '2027-11-01').map(({ key }) => key);
  const locked = ['2026-12-08', '2026-12-15'].map((on, n) => ({
    vehicleId,
    workshopId,
    on,
    dueItemKeys: [keys[n]],
  }));
  const { id } = await ask<Identified>('POST', '/v1/downtime-plans', {
    body: { fleetId, days: 365, effort: 'quick', wishes: { locked } },
  });
  await test.app.get(DowntimePlanRunnerService).run(organisationId, id);
  return id;
}

const PLANNING_SETTINGS = {
  currency: 'GBP',
  visitLossMinor: 14_000,
  valuePerItemMinor: 11_000,
  valueByTask: [],
  riskPerLateDayMinor: { safetyCritical: 7_000, other: 700 },
  leftOutMinor: 400_000,
  horizonDays: 60,
};

/** Two workshops; the first has two bays and two people. */
async function addWorkshops(
  add: (path: string, body: object) => Promise<string>,
): Promise<{ workshopId: string; bayId: string; technicianId: string }> {
  const hours = [1, 2, 3, 4, 5].map((weekday) => ({ weekday, windows: [{ from: '08:00', until: '17:00' }] }));
  const workshop = { zone: 'Europe/London', weeklyHours: hours };
  const workshopId = await add('/v1/workshops', {
    ...workshop,
    name: 'Upper Tarn workshop',
    externalKey: 'W1',
  });
  await add('/v1/workshops', { ...workshop, name: 'Lower Tarn workshop' });
  const path = `/v1/workshops/${workshopId}`;
  const bayId = await add(`${path}/bays`, { name: 'Lift 1', kinds: ['lift', 'flat'] });
  await add(`${path}/bays`, { name: 'Flat 2', kinds: ['flat'] });
  const person = { competences: [{ code: 'hydraulics' }], shifts: hours };
  const technicianId = await add(`${path}/technicians`, { ...person, name: 'Alder' });
  await add(`${path}/technicians`, { ...person, name: 'Birch' });
  return { workshopId, bayId, technicianId };
}

const UNKNOWN_LAYOUT = {
  antiSinkValves: 'unverified',
  steeringSupply: 'unverified',
  steeringRegulator: 'unverified',
};

function addUnit(
  add: (path: string, body: object) => Promise<string>,
  fleetId: string,
  unitTypeId: string,
  serialNumber: string,
  place: object,
): Promise<string> {
  return add('/v1/gas-units', {
    fleetId,
    unitTypeId,
    serialNumber,
    externalKey: `U${serialNumber}`,
    madeOn: '2023-12-01',
    movedBy: 'technician T07',
    place,
  });
}

/** One good line, and two that cannot be used. */
async function importReadings(
  test: TestApp,
  { organisationId }: NewOrganisation,
  ask: <T>(method: string, path: string, message: Message) => Promise<T>,
): Promise<string> {
  const lines = [
    'vehicleKey,readAt,value,source',
    'V1,2026-11-02T09:00:00Z,13500,telematics',
    'V1,yesterday,13600,telematics',
    'no such vehicle,2026-11-03T09:00:00Z,13600,telematics',
  ];
  const { id } = await ask<Identified>('POST', '/v1/imports?kind=odometer-readings', {
    body: lines.join('\r\n'),
    headers: { 'content-type': 'text/csv' },
  });
  await test.app.get(ImportRunnerService).run(organisationId, id);
  const done = await ask<{ state: string; linesRejected: number }>('GET', `/v1/imports/${id}`, {});
  if (done.state !== 'finished' || done.linesRejected !== 2) {
    throw new Error(`the world needs an import with rejected lines: ${JSON.stringify(done)}`);
  }
  return id;
}

function expectSuccess(method: string, path: string, { status, body, text }: Sent): unknown {
  if (status >= 300) throw new Error(`${method} ${path} was answered ${status}: ${text}`);
  return body;
}

/** The address of an operation with the ids of a world, or with others where they are given. */
export function addressOf(path: string, ids: Record<string, string>): string {
  return path.replace(/\{(\w+)\}/g, (_, name: string) => {
    const id = ids[name];
    if (id === undefined || id === '') {
      throw new Error(`the world of the tests has no ${name}: add one to test/support/world.ts`);
    }
    return id;
  });
}
