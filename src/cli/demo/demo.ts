import 'reflect-metadata';
import { parseArgs } from 'node:util';
import { localDateAt } from '../../core/shared/calendar-date';
import { createApp } from '../../app.setup';
import { ConfigError, readConfig } from '../../platform/config/config';
import { createOrganisation } from '../../platform/database/create-organisation';
import { findDatabaseServer, openDatabase } from '../../platform/database/open-database';
import { recreateDatabase } from '../../platform/database/recreate-database';
import { createLogger } from '../../platform/observability/logging';
import { reportAndExit } from '../../process-life';
import { startWork } from '../../work';
import { ApiClient } from '../api-client';
import { fillDiary } from './fill-diary';
import { invitePeople } from './invite-people';
import { loadTarnValley } from './load-tarn-valley';
import { showDiary } from './show-diary';
import { showDueWork } from './show-due-work';
import { showGasUnits } from './show-gas-units';
import { showPlan } from './show-plan';
import { tarnValleyFleet } from './tarn-valley/tarn-valley-fleet';

const SEED = 1;

/** Sets the invented fleet up as an operator would, and shows what it gets for it. */
async function main(): Promise<void> {
  const { values } = parseArgs({ options: { once: { type: 'boolean', default: false } } });
  const started = performance.now();
  const config = readConfig({ REQUESTS_PER_MINUTE: '100000', LOG_LEVEL: 'warn', ...process.env });
  const server = await findDatabaseServer(config, false, 'precharge_demo');
  if (server.explanation !== null) console.log(server.explanation);
  await emptyDatabase(server.ownerUrl);
  const database = await openDatabase(server.ownerUrl, server.secret, config.appDatabaseUrl);
  const app = await createApp(database, config, createLogger(config.logLevel));
  await listen(app, config.port, config.host);
  await startWork(app);
  const address = (await app.getUrl()).replace('[::1]', 'localhost');

  const todayOn = localDateAt(Date.now(), 'Europe/London');
  const fleet = tarnValleyFleet({ seed: SEED, todayOn });
  const { administratorKey } = await createOrganisation(database.ownerUrl, fleet.fleet.name);
  const api = new ApiClient(address, administratorKey);
  console.log(`\n${fleet.fleet.name} on ${todayOn}: an invented operator hands over what it has.\n`);
  await loadTarnValley(api, fleet);
  await showDueWork(api);
  await showGasUnits(api, fleet.gasUnits, todayOn);
  const workshops = await fillDiary(api, SEED);
  await showDiary(api, workshops);
  await showPlan(api, workshops);
  const { people, password } = await invitePeople(api, workshops);
  console.log(`\nReady after ${((performance.now() - started) / 1000).toFixed(1)} s.`);

  if (values.once) {
    await app.close();
    await server.stop();
    return;
  }
  console.log(`
The API runs at ${address} until you press Ctrl-C.
  What it offers:  ${address}/docs
  Sign in at       ${address}/desk/
${people.map(({ email, role }) => `    ${email.padEnd(32)} ${role}`).join('\n')}
    password of all five: ${password}
  A key to try:    ${administratorKey}
  For example:     curl -H "Authorization: Bearer ${administratorKey}" "${address}/v1/due-items?state=overdue&limit=5"`);
  for (const signal of ['SIGINT', 'SIGTERM'] as const) {
    process.once(signal, () => {
      app
        .close()
        .then(() => server.stop())
        .then(() => process.exit(0), reportAndExit);
    });
  }
}

// The demo starts from nothing each time, in a database that is nobody's but its own.
async function emptyDatabase(ownerUrl: string): Promise<void> {
  const name = new URL(ownerUrl).pathname.slice(1);
  if (!name.endsWith('_demo')) {
    throw new ConfigError(
      `The demo empties its database: DATABASE_URL must name one that ends in _demo, not "${name}".`,
    );
  }
  await recreateDatabase(ownerUrl);
}

// Another program may have the usual port: the demo then takes any that is free.
async function listen(app: Awaited<ReturnType<typeof createApp>>, port: number, host: string): Promise<void> {
  try {
    await app.listen(port, host);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EADDRINUSE') throw error;
    await app.listen(0, host);
  }
}

main().catch(reportAndExit);
