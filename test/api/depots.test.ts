import request from 'supertest';
import { startTestApp, type TestApp } from '../support/test-app';

let test: TestApp;
let key: string;
beforeAll(async () => {
  test = await startTestApp();
  key = (await test.organisation('Tarn Valley')).administratorKey;
});
afterAll(() => test.close());

it('creates, reads and changes a depot', async () => {
  const server = test.app.getHttpServer();
  const fleet = await request(server)
    .post('/v1/fleets')
    .set('authorization', `Bearer ${key}`)
    .send({ name: 'Patient transport' });
  expect(fleet.body).toMatchObject({ name: 'Patient transport', revision: 1 });
  expect(fleet.status).toBe(201);
  const depot = await request(server)
    .post('/v1/depots')
    .set('authorization', `Bearer ${key}`)
    .send({ name: 'Upper Tarn', zone: 'Europe/London', fleetId: fleet.body.id });
  expect(depot.status).toBe(201);
  const read = await request(server).get(`/v1/depots/${depot.body.id}`).set('authorization', `Bearer ${key}`);
  expect(read.body).toEqual(depot.body);
  const changed = await request(server)
    .patch(`/v1/depots/${depot.body.id}`)
    .set('authorization', `Bearer ${key}`)
    .set('if-match', read.headers.etag!)
    .send({ zone: 'Europe/Paris' });
  expect(changed.body).toMatchObject({ zone: 'Europe/Paris', revision: 2 });
  const vehicle = await request(server)
    .post('/v1/vehicles')
    .set('authorization', `Bearer ${key}`)
    .set('idempotency-key', 'abcdefgh1')
    .send({ depotId: depot.body.id, registrationMark: 'tvp 101', dutyClass: 'standard', odometerUnit: 'km' });
  expect(vehicle.body).toMatchObject({ registrationMark: 'TVP 101' });
  const again = await request(server)
    .post('/v1/vehicles')
    .set('authorization', `Bearer ${key}`)
    .set('idempotency-key', 'abcdefgh1')
    .send({ depotId: depot.body.id, registrationMark: 'tvp 101', dutyClass: 'standard', odometerUnit: 'km' });
  expect(again.body).toEqual(vehicle.body);
  const due = await request(server)
    .get(`/v1/vehicles/${vehicle.body.id}/due-items`)
    .set('authorization', `Bearer ${key}`);
  expect(due.body).toMatchObject({ items: [] });
  for (const [m, u, s] of [
    ['get', '/nothing', 404],
    ['delete', '/v1/depots', 405],
    ['get', '/v1/depots/x', 422],
    ['get', '/v1/depots', 401],
  ] as const) {
    const r = await request(server)
      [m](u)
      .set('authorization', s === 401 ? 'x' : `Bearer ${key}`);
    expect([u, r.status, r.headers['content-type']]).toEqual([
      u,
      s,
      'application/problem+json; charset=utf-8',
    ]);
  }
  const bad = await request(server)
    .post('/v1/depots')
    .set('authorization', `Bearer ${key}`)
    .set('content-type', 'application/json')
    .send('{"a":');
  expect(bad.body).toMatchObject({ status: 400 });
  const media = await request(server)
    .post('/v1/depots')
    .set('authorization', `Bearer ${key}`)
    .set('content-type', 'text/xml')
    .send('<a/>');
  expect(media.body).toMatchObject({ status: 415 });
  const acc = await request(server)
    .get('/v1/depots')
    .set('authorization', `Bearer ${key}`)
    .set('accept', 'image/png');
  expect(acc.body).toMatchObject({ status: 406 });
  const big = await request(server)
    .post('/v1/depots')
    .set('authorization', `Bearer ${key}`)
    .send({ name: 'x'.repeat(2_000_000) });
  expect(big.body).toMatchObject({ status: 413 });
});
