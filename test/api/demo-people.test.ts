import { ApiClient } from '../../src/cli/api-client';
import type { FilledWorkshop } from '../../src/cli/demo/fill-diary';
import { invitePeople } from '../../src/cli/demo/invite-people';
import { roles } from '../../src/platform/security/role';
import { send } from '../support/send';
import { startTestApp, type TestApp } from '../support/test-app';

let test: TestApp;
beforeAll(async () => {
  test = await startTestApp();
  await test.app.listen(0, '127.0.0.1');
});
afterAll(() => test.close());

it('the demo has somebody of every role, who signs in with the password that it prints', async () => {
  const { administratorKey: key } = await test.organisation('Tarn Valley Patient Transport');
  const add = async <T>(path: string, body: object): Promise<T> =>
    (await send(test, 'POST', path, { key, body })).body as T;
  const workshop = { name: 'Tarnholme workshop', zone: 'Europe/London', weeklyHours: [] };
  const { id } = await add<{ id: string }>('/v1/workshops', workshop);
  const alder = { name: 'Alder', competences: [], shifts: [] };
  const technician = await add<{ id: string }>(`/v1/workshops/${id}/technicians`, alder);
  const api = new ApiClient(await test.app.getUrl(), key);
  const workshops = [{ technicians: [technician] }] as FilledWorkshop[];
  const { people, password } = await invitePeople(api, workshops);
  expect(people.map(({ role }) => role).sort()).toEqual([...roles].sort());
  for (const { email, role } of people) {
    const { status, body } = await send(test, 'POST', '/v1/sessions', { body: { email, password } });
    const technicianId = role === 'technician' ? technician.id : null;
    expect([status, body]).toMatchObject([201, { person: { email, role, technicianId } }]);
  }
});
