import type { AddressInfo } from 'node:net';
import { startWork } from '../../src/work';
import { ImportClient } from '../support/import-client';
import { Operator } from '../support/operator';
import { recordsDigest } from '../support/organisation-digest';
import { startTestApp, type TestApp } from '../support/test-app';

let test: TestApp;
let address: string;
beforeAll(async () => {
  test = await startTestApp({ requestsPerMinute: 1_000_000 });
  await test.app.listen(0, '127.0.0.1');
  address = `http://127.0.0.1:${(test.app.getHttpServer().address() as AddressInfo).port}`;
  await startWork(test.app);
});
afterAll(() => test.close());

const UNITS = [
  'externalKey,fleetKey,typeCode,serialNumber,madeOn',
  'U1,F1,sphere-55,1,2021-05-01',
  'U2,F1,sphere-55,2,2021-05-01',
  'U3,F1,no-such-type,3,2021-05-01',
  'U4,no such fleet,sphere-55,4,',
];
const PLACEMENTS = [
  'unitKey,state,fromAt,untilAt,vehicleKey,position,depotKey',
  'U1,fitted,2021-06-01T09:00:00Z,2025-03-01T09:00:00Z,V1,suspension-front-left,',
  'U1,on-the-shelf,2025-03-01T09:00:00Z,,,,D1',
  'U2,fitted,2025-03-01T09:30:00Z,,V1,suspension-front-left,',
  // another unit sat there then
  'U2,fitted,2022-01-01T09:00:00Z,2022-02-01T09:00:00Z,V1,suspension-front-left,',
  'U2,fitted,2020-01-01T09:00:00Z,2020-02-01T09:00:00Z,V9,suspension-front-left,',
];
const TESTS = [
  'unitKey,kind,doneAt,doneBy,pressureBarGauge,gasTemperatureC,gaugeCode',
  'U2,charge,2025-03-01T10:00:00Z,T07,55,20,G-1',
  'U2,precharge-test,2026-03-02T10:00:00Z,T07,52,18,G-1',
  'U2,precharge-test,2026-09-02T10:00:00Z,T07,41,18,',
  'U2,precharge-test,2026-10-02T10:00:00Z,T07,50,95,',
  'U2,precharge-test,2026-10-03T10:00:00Z,T07,50,20,no such gauge',
  'U9,precharge-test,2026-10-03T10:00:00Z,T07,50,20,',
];
const text = (lines: readonly string[]): string => [...lines, ''].join('\r\n');

describe('files about gas units', () => {
  let owner: Operator;
  let files: ImportClient;
  beforeAll(async () => {
    owner = await Operator.of(test, 'Tarn Valley Patient Transport');
    await owner.follows([
      {
        code: 'recharge',
        task: 'recharge',
        scope: 'unit',
        positions: ['suspension-front-left'],
        prechargeLimit: { shareOfNominal: 0.8 },
        satisfies: ['precharge-test'],
      },
      { code: 'test', task: 'precharge-test', scope: 'unit', everyMonths: 24 },
    ]);
    const added = (path: string, body: object): Promise<{ id: string }> =>
      owner.admin.ok('post', path, { body });
    const fleet = await added('/v1/fleets', { name: 'Patient transport', externalKey: 'F1' });
    const depot = await added('/v1/depots', {
      fleetId: fleet.id,
      name: 'Upper Tarn',
      externalKey: 'D1',
      zone: 'Europe/London',
    });
    await added('/v1/vehicles', {
      depotId: depot.id,
      externalKey: 'V1',
      registrationMark: 'TVP 101',
      dutyClass: 'normal',
      odometerUnit: 'km',
      inServiceOn: '2021-06-01',
    });
    await added('/v1/gas-unit-types', {
      code: 'sphere-55',
      name: 'Suspension unit, 55 bar',
      roles: ['suspension'],
      nominalPrecharge20BarGauge: 55,
      gasVolumeCm3: 400,
      damperIntegral: true,
    });
    await added('/v1/gauges', { code: 'G-1', name: 'Rig gauge', rangeHighBarGauge: 250 });
    files = new ImportClient(address, owner.organisation.administratorKey);
  });

  const reportOf = async (
    kind: 'gas-units' | 'unit-placements' | 'unit-tests',
    lines: readonly string[],
  ): Promise<string[]> => {
    const done = await files.run(kind, text(lines));
    expect(done.state).toBe('finished');
    return (await files.lines(done.id)).map(
      ({ outcome, errors }) => `${outcome}${errors.map(({ pointer }) => ` ${pointer ?? ''}`).join('')}`,
    );
  };

  it('record units, where they were and what was measured; a bad line costs only itself', async () => {
    expect(await reportOf('gas-units', UNITS)).toEqual([
      'created',
      'created',
      'rejected #/typeCode',
      'rejected #/fleetKey',
    ]);
    expect(await reportOf('unit-placements', PLACEMENTS)).toEqual([
      'created',
      'created',
      'created',
      expect.stringContaining('rejected'),
      'rejected #/vehicleKey',
    ]);
    expect(await reportOf('unit-tests', TESTS)).toEqual([
      'created',
      'created',
      'created',
      'rejected #/gasTemperatureC',
      'rejected #/gaugeCode',
      'rejected #/unitKey',
    ]);
  });

  it('move the due items of the vehicle, whose unit failed its last test', async () => {
    const items = await owner.sql<{ item_key: string; driver: string; due_on: string }>(
      `SELECT item_key, driver, due_on::text FROM due_items WHERE item_key LIKE '%front-left' ORDER BY item_key`,
    );
    expect(items).toEqual([
      {
        item_key: 'recharge@suspension-front-left',
        driver: 'condition',
        due_on: expect.any(String) as string,
      },
      { item_key: 'test@suspension-front-left', driver: 'failed-test', due_on: '2026-09-02' },
    ]);
  });

  it('change nothing when they are handed over again', async () => {
    const records = (): Promise<Record<string, string>> => recordsDigest(test, owner.organisationId);
    const before = await records();
    expect((await reportOf('gas-units', UNITS)).slice(0, 2)).toEqual(['unchanged', 'unchanged']);
    expect((await reportOf('unit-placements', PLACEMENTS)).slice(0, 3)).toEqual(Array(3).fill('unchanged'));
    expect((await reportOf('unit-tests', TESTS)).slice(0, 3)).toEqual(Array(3).fill('unchanged'));
    expect(await records()).toEqual(before);
  });
});
