import { setTimeout as sleep } from 'node:timers/promises';
import { expectData, type Api, type Schemas } from './api.ts';

export interface OwnVehicle {
  /** the key of the vehicle in one's own system, by which it is known ever after */
  externalKey: string;
  depotKey: string;
  registrationMark: string;
}

export interface Loaded {
  report: Schemas['ImportDto'];
  rejected: Schemas['ImportLineDto'][];
}

/**
 * Hands all vehicles over as one file of CSV (RFC 4180) and follows the import to its end. The same file again changes
 * nothing, so a hand-over that was not answered is repeated without a thought.
 */
export async function loadVehicles(api: Api, vehicles: readonly OwnVehicle[]): Promise<Loaded> {
  const header = 'externalKey,depotKey,registrationMark,dutyClass,odometerUnit';
  const lines = vehicles.map(({ externalKey, depotKey, registrationMark }) =>
    [externalKey, depotKey, registrationMark, 'normal', 'km'].map(quoted).join(','),
  );
  let report = expectData(
    await api.POST('/v1/imports', {
      params: { query: { kind: 'vehicles', fileName: 'vehicles.csv' } },
      headers: { 'content-type': 'text/csv' },
      body: [header, ...lines, ''].join('\r\n'),
      bodySerializer: (text) => text,
    }),
  );
  const path = { importId: report.id };
  while (report.state === 'queued' || report.state === 'running') {
    await sleep(500);
    report = expectData(await api.GET('/v1/imports/{importId}', { params: { path } }));
  }
  if (report.state !== 'finished') throw new Error(`the import ${report.state}: ${report.failure ?? ''}`);
  return { report, rejected: await rejectedLines(api, report.id) };
}

async function rejectedLines(api: Api, importId: string): Promise<Schemas['ImportLineDto'][]> {
  const lines: Schemas['ImportLineDto'][] = [];
  let cursor: string | undefined;
  do {
    const query = { outcome: 'rejected' as const, limit: 500, cursor };
    const { items, next } = expectData(
      await api.GET('/v1/imports/{importId}/lines', { params: { path: { importId }, query } }),
    );
    lines.push(...items);
    cursor = next ?? undefined;
  } while (cursor !== undefined);
  return lines;
}

const quoted = (text: string): string => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
