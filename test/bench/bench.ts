import 'reflect-metadata';
import { cpus, totalmem } from 'node:os';
import { parseArgs } from 'node:util';
import { benchBooking } from './bench-booking';
import { benchDesk } from './bench-desk';
import { benchDue } from './bench-due';
import { benchFeed } from './bench-feed';
import { benchForecast } from './bench-forecast';
import { benchGas } from './bench-gas';
import { benchImport } from './bench-import';
import { benchPlanApi } from './bench-plan-api';
import { benchPlanning } from './bench-planning';
import { benchSlotsCore } from './bench-slots-core';
import { benchSlotsQuery } from './bench-slots-query';
import { benchStart } from './bench-start';
import { benchToken } from './bench-token';
import { benchWebhooks } from './bench-webhooks';
import { printFigures, type Figure } from './figures';

const PARTS: Record<string, () => Promise<Figure[]>> = {
  gas: benchGas,
  forecast: benchForecast,
  slots: async () => [...(await benchSlotsCore()), ...(await benchSlotsQuery())],
  booking: benchBooking,
  due: benchDue,
  feed: benchFeed,
  webhooks: benchWebhooks,
  start: benchStart,
  planning: benchPlanning,
  'plan-api': benchPlanApi,
  token: benchToken,
  import: benchImport,
  desk: benchDesk,
};

async function main(): Promise<void> {
  const { values } = parseArgs({ options: { only: { type: 'string' } } });
  const only = values.only?.split(',') ?? Object.keys(PARTS);
  const unknown = only.filter((name) => PARTS[name] === undefined);
  if (unknown.length > 0)
    throw new Error(`There is no part ${unknown.join(', ')}; known: ${Object.keys(PARTS).join(', ')}`);
  const figures: Figure[] = [];
  for (const name of only) figures.push(...((await PARTS[name]?.()) ?? []));
  const machine = `${cpus().length} x ${cpus()[0]?.model ?? 'unknown processor'}, ${Math.round(totalmem() / 2 ** 30)} GiB, Node ${process.version}`;
  printFigures(figures, machine);
}

main().then(
  () => process.exit(0),
  (error: unknown) => {
    console.error(error);
    process.exit(1);
  },
);
