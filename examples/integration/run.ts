import { isDeepStrictEqual } from 'node:util';
import { setTimeout as sleep } from 'node:timers/promises';
import { connect, expectData, type Api } from './api.ts';
import { bookVisit } from './book-visit.ts';
import { loadVehicles } from './load-vehicles.ts';
import { LocalCopy, allBookings, allVehicles } from './local-copy.ts';
import { WebhookReceiver } from './webhook-receiver.ts';

// A dealer's system from its first request on. See docs/integration.md.

function setting(name: string): string {
  const value = process.env[name];
  if (value === undefined || value === '')
    throw new Error(`set ${name}; docs/integration.md says what it is`);
  return value;
}

const tell = (step: string, more: object = {}): void => console.log(JSON.stringify({ step, ...more }));

async function main(): Promise<void> {
  const { api, troubles } = connect(setting('PRECHARGE'), setting('CLIENT_ID'), setting('CLIENT_SECRET'));
  const receiver = new WebhookReceiver(setting('WEBHOOK_SECRET'));
  await receiver.listen(Number(setting('WEBHOOK_PORT')));
  await untilConsented(api, setting('WEBHOOK_ENDPOINT_ID'));
  tell('consented');

  const copy = new LocalCopy(api);
  await copy.begin();

  const count = Number(setting('VEHICLES'));
  const vehicles = Array.from({ length: count }, (_, number) => ({
    externalKey: `dealer-${number}`,
    depotKey: setting('DEPOT_KEY'),
    registrationMark: `TVP ${number}`,
  }));
  const { report, rejected } = await loadVehicles(api, vehicles);
  tell('loaded', { created: report.linesCreated, rejected: rejected.length });
  await copy.catchUp();

  const [first] = copy.vehicles.records.values();
  const workshop = expectData(await api.GET('/v1/workshops', { params: { query: { limit: 1 } } })).items[0];
  if (first === undefined || workshop === undefined) throw new Error('there is no vehicle, or no workshop');
  const booking = await bookVisit(api, first.id, workshop.id);
  tell('booked', { startsAt: booking.startsAt });

  while (![...receiver.events.values()].some(({ subject }) => subject === `booking/${booking.id}`))
    await sleep(200);
  const equal = await equalsServer(copy, api);
  tell('done', {
    equal,
    vehicles: copy.vehicles.records.size,
    bookings: copy.bookings.records.size,
    changes: copy.changes,
    webhooks: receiver.events.size,
    refused: receiver.refused,
    ...troubles,
  });
  receiver.close();
  if (!equal) process.exitCode = 1;
}

/** The receiver may have been asked before it listened; then it wants to be asked again. */
async function untilConsented(api: Api, webhookEndpointId: string): Promise<void> {
  const params = { path: { webhookEndpointId } };
  const state = async (): Promise<string> =>
    expectData(await api.GET('/v1/webhook-endpoints/{webhookEndpointId}', { params })).state;
  if ((await state()) === 'awaiting-consent')
    await api.POST('/v1/webhook-endpoints/{webhookEndpointId}/request-consent', { params });
  while ((await state()) === 'awaiting-consent') await sleep(1_000);
}

/** Whether the copy is what the server has, at a moment when nothing changed while it was looked at. */
async function equalsServer(copy: LocalCopy, api: Api): Promise<boolean> {
  for (;;) {
    await copy.catchUp();
    const [vehicles, bookings] = [await allVehicles(api), await allBookings(api)];
    if ((await copy.catchUp()) > 0) continue;
    const byId = <Dto extends { id: string }>(list: Dto[]): Map<string, Dto> =>
      new Map(list.map((one) => [one.id, one]));
    return (
      isDeepStrictEqual(copy.vehicles.records, byId(vehicles)) &&
      isDeepStrictEqual(copy.bookings.records, byId(bookings))
    );
  }
}

await main();
